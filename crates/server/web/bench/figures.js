// What the figures of the benchmark are made of: medians, ratios, and how they are printed.

/** The value below which a share of all lies. */
export function quantile(values, share) {
  const sorted = [...values].sort((a, b) => a - b);
  return sorted[Math.min(Math.floor(share * sorted.length), sorted.length - 1)];
}

export const median = (values) => quantile(values, 0.5);

/** A line of the benchmark: what, and its figures. */
export function line(what, ...figures) {
  console.log(`${what.padEnd(52)} ${figures.join('   ')}`);
}

export const ms = (value) => `${value.toFixed(value < 10 ? 1 : 0)} ms`;

/** Median and 90th percentile beside those of a baseline. */
export function beside(what, values, baseline) {
  const both = (share) => `${ms(quantile(values, share))} (× ${(quantile(values, share) / quantile(baseline, share)).toFixed(2)})`;
  line(what, `median ${both(0.5)}`, `90 % within ${both(0.9)}`, `of ${values.length}`);
}
