// Formulas of the table, set with their powers and indices.
import { expect, it } from 'vitest';
import { pieces } from './formula';

/** Above in `<sup>`, below in `<sub>`, short. */
const set = (text: string) => pieces(text).map(({ text, at }) => (at === 'level' ? text : `${at === 'above' ? '↑' : '↓'}{${text}}`)).join('');

it.each([
  ['K1 = e z_r / (R Δ)', 'K↓{1} = e z↓{r} / (R Δ)'],
  ['1/E* = (1 − ν1²)/E1 + (1 − ν2²)/E2', '1/E* = (1 − ν↓{1}²)/E↓{1} + (1 − ν↓{2}²)/E↓{2}'],
  ['δ = 3.84e-5 F^0.9 / L^0.8   (mm, N)', 'δ = 3.84e-5 F↑{0.9} / L↑{0.8}   (mm, N)'],
  ['C = b_m f_c (i L_we)^(7/9) Z^(3/4)', 'C = b↓{m} f↓{c} (i L↓{we})↑{7/9} Z↑{3/4}'],
  ['D_w^1.8;  above 25.4 mm: 3.647 D_w^1.4 in place', 'D↓{w}↑{1.8};  above 25.4 mm: 3.647 D↓{w}↑{1.4} in place'],
  ['L10 = (C/P_m)^p million turns;  L10h = L10/n_m', 'L↓{10} = (C/P↓{m})↑{p} million turns;  L↓{10h} = L↓{10}/n↓{m}'],
  ['log10 log10 (ν + 0.7) = A − B log10 T', 'log10 log10 (ν + 0.7) = A − B log10 T'],
  ['j_3% = m(+0.03 T) − m(−0.03 T)', 'j↓{3%} = m(+0.03 T) − m(−0.03 T)'],
  ['n_d M0,ecc)', 'n↓{d} M↓{0,ecc})'],
  ['Δγ = Σ T_part² / (c T)', 'Δγ = Σ T↓{part}² / (c T)'],
])('identity_powers_stand_above_and_indices_below: %s', (text, expected) => {
  expect(set(text)).toBe(expected);
});

it('identity_nothing_but_the_marks_is_lost', () => {
  const text = 'P_m = (Σ P^p n t / Σ n t)^(1/p);  within a turn P = (mean of F_b^p)^(1/p)';
  const letters = (words: string) => words.replace(/[\^_()]/g, '');
  expect(letters(pieces(text).map((piece) => piece.text).join(''))).toBe(letters(text));
});
