// The formatter against what Rust wrote for the same values.
import { expect, it } from 'vitest';
import cases from '../generated/number-cases.json';
import { display, displayShown, formatNumber } from './numbers';

it('independent_every_quantity_reads_as_rust_writes_it', () => {
  expect(cases.quantities.length).toBeGreaterThan(500);
  for (const [name, core, text] of cases.quantities as [string, number, string][]) {
    expect(display(name, core), `${name} of ${core}`).toBe(text);
  }
});

it('independent_numbers_round_as_rust_rounds_them', () => {
  for (const [value, digits, text] of cases.numbers as [number, number, string][]) {
    expect(formatNumber(value, digits), `${value} with ${digits} digits`).toBe(text);
  }
});

it('identity_what_is_not_finite_and_minus_zero', () => {
  expect([NaN, Infinity, -Infinity, -0, -0.004].map((value) => formatNumber(value, 2))).toEqual([
    '–', '∞', '−∞', '0.00', '0.00',
  ]);
  expect(displayShown('no such quantity', 1.5)).toBe('1.500');
});
