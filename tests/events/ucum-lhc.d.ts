/** The part of the UCUM library of the US National Library of Medicine that the unit test uses. */
declare module '@lhncbc/ucum-lhc' {
  interface Conversion {
    readonly status: 'succeeded' | 'failed' | 'error';
    readonly toVal: number | null;
    readonly msg: readonly string[];
  }
  interface UcumLhcUtils {
    convertUnitTo(from: string, value: number, to: string): Conversion;
    validateUnitString(code: string): {
      readonly status: 'valid' | 'invalid' | 'error';
      readonly ucumCode: string | null;
    };
  }
  const ucum: { UcumLhcUtils: { getInstance(): UcumLhcUtils } };
  export default ucum;
}
