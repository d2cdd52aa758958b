// The one formatter of the page: digits, units and symbols come from the generated table of quantities.
import table from '../generated/quantities.json';

interface Quantity {
  symbol: string;
  /** With the space before it, where there is one. */
  unit_behind: string;
  digits: number;
  /** What is greater is shown as greater than this. */
  most: number | null;
  /** Shown value = (core value − offset) / factor. */
  factor: number;
  offset: number;
}

const quantities = table as Record<string, Quantity>;

/** Decimal digits of a number exactly as the binary value has them, rounded half to even as Rust does. */
function fixed(value: number, digits: number): string {
  if (value >= 1e21) return BigInt(value).toString() + (digits > 0 ? `.${'0'.repeat(digits)}` : '');
  const rounded = value.toFixed(digits);
  const exact = value.toFixed(100);
  const cut = exact.length - 100 + digits;
  if (!/^50*$/.test(exact.slice(cut))) return rounded;
  const kept = exact.slice(0, cut).replace(/\.$/, '');
  return Number(kept.at(-1)) % 2 === 0 ? kept : rounded;
}

/** A number with fixed decimals, thousands grouped from five digits on; −0 is written as 0. */
export function formatNumber(value: number, digits: number): string {
  if (Number.isNaN(value)) return '–';
  if (!Number.isFinite(value)) return value > 0 ? '∞' : '−∞';
  const plain = fixed(Math.abs(value), digits);
  const [whole = '0', fraction] = plain.split('.');
  const grouped = whole.length > 4 ? whole.replace(/\B(?=(\d{3})+$)/g, ',') : whole;
  const isZero = /^[0.]*$/.test(plain);
  const sign = value < 0 && !isZero ? '−' : '';
  return fraction === undefined ? `${sign}${grouped}` : `${sign}${grouped}.${fraction}`;
}

/** A core value of a named quantity as people read it, with its unit. */
export function display(name: string, core: number): string {
  const quantity = quantities[name];
  if (!quantity) return formatNumber(core, 6);
  return shownNumber(quantity, (core - quantity.offset) / quantity.factor) + quantity.unit_behind;
}

/** A value that is already in the unit shown, as the values of charts are. */
export function displayShown(name: string, shown: number, unit: 'with-unit' | 'bare' = 'with-unit'): string {
  const quantity = quantities[name];
  const text = quantity ? shownNumber(quantity, shown) : formatNumber(shown, 3);
  return quantity && unit === 'with-unit' ? text + quantity.unit_behind : text;
}

function shownNumber({ most, digits }: Quantity, shown: number): string {
  return most !== null && shown > most ? `> ${formatNumber(most, digits)}` : formatNumber(shown, digits);
}

/** Digits with which values of a quantity are shown. */
export function digitsOf(name: string): number {
  return quantities[name]?.digits ?? 3;
}
