import { describe, expect, test } from '@jest/globals';
import fc from 'fast-check';
import { asksForIdentity, identityIn } from '../../src/events/identity.js';

describe('text that looks like a patient is refused', () => {
  test.each([
    ['ssn 123-45-6789', 'social security number'],
    ['her number is 123 45 6789', 'social security number'],
    ['Social Security no. 123456789', 'social security number'],
    ['ask jane.public@example.com', 'e-mail address'],
    ['call 555-123-4567 first', 'telephone number'],
    ['call (555) 123-4567', 'telephone number'],
    ['+1 555.123.4567', 'telephone number'],
    ['+44 20 7946 0958', 'telephone number'],
    ['phone: 5551234567', 'telephone number'],
    ['DOB 1/2/1980', 'date of birth'],
    ['d.o.b.: 1980-01-02', 'date of birth'],
    ['born 2 March 1980', 'date of birth'],
    ['date of birth: March 2', 'date of birth'],
    ['chart no. 4471123', 'record number'],
    ['MRN: 00123', 'record number'],
    ['patient: Jane Public', 'name'],
    ['Patient Jane Public moved', 'name'],
    ['pt. Jane Public moved', 'name'],
    ['patient name is Jane', 'name'],
    ["patient's name: Jane", 'name'],
    ['retake for Mrs. Public', 'name'],
    ['Ms Public moved', 'name'],
    ['last name: public', 'name'],
    ['patient: Müller', 'name'],
    ['pt: Jane', 'name'],
  ])('%s', (text, kind) => expect(identityIn(text)).toMatchObject({ kind }));
});

describe('what offices write about films passes', () => {
  test.each([
    'water heater was off',
    'patient moved during the exposure',
    'Patient could not hold still',
    'the patient bit on the holder; film 2 of 4 repeated',
    'pt gagged, size 1 used instead',
    '68.5 F at 07:50, 69 at 10:20',
    'changed 2026-03-09 07:40, next by 2026-05-08',
    'lot 2026-0312-4567, opened 12/03',
    'mixed 1+4, 3785 mL',
    'technique chart posted at unit R2',
    'maximum 120 s; minimum 90 s',
    'strip 3 steps lighter, remixed, then 0',
    'misaligned cone; missing apices',
    'box C1 cleaned, ms timer checked',
    'serial 100-2000-30000',
    'film names match the mount',
  ])('%s', (text) => expect(identityIn(text)).toBeUndefined());
});

test('any text of 500 characters is looked through quickly', () => {
  const text = fc.oneof(
    fc.string({ maxLength: 500 }),
    fc
      .array(fc.constantFrom('1', '-', '.', ' ', '(', '@', 'a', 'dob', 'patient', ':', '+1', 'J'), { maxLength: 500 })
      .map((parts) => parts.join('').slice(0, 500)),
  );
  let slowest = 0;
  fc.assert(
    fc.property(text, (sample) => {
      const begun = performance.now();
      identityIn(sample);
      slowest = Math.max(slowest, performance.now() - begun);
    }),
    { numRuns: 2000 },
  );
  // Thousands of times what it takes; only a pattern that backtracks without bound comes near.
  expect(slowest).toBeLessThan(250);
});

test('names of fields that ask who somebody is', () => {
  for (const name of [
    'name',
    'patientName',
    'patient_name',
    'firstName',
    'lastname',
    'dob',
    'dateOfBirth',
    'birthDate',
    'ssn',
    'mrn',
    'email',
    'phone',
  ]) {
    expect([name, asksForIdentity(name)]).toEqual([name, true]);
  }
  for (const name of ['patient', 'patientSize', 'filmName', 'rename', 'mailbox', 'names2']) {
    expect([name, asksForIdentity(name)]).toEqual([name, false]);
  }
});
