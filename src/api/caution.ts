/** Part of every answer that could steer work on a patient. */
export const caution =
  'The dentist decides. Local code and the maker’s sheet come first. This reports what lies outside a rule as read; it gives no diagnosis and no legal opinion.';
