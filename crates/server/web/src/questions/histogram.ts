// Histograms of the server: which bin lies under a place of the picture, and where it lies. Positions are those of the picture, in its millimetres.
import type { Body, Histogram } from '../generated/api';
import { placeOn, valueOn, type Field } from './paper';

/** The histogram that a figure is, if it is one; the kind stands beside the histogram's own keys. */
export function asHistogram(body: Body): Histogram | null {
  return 'kind' in body && body.kind === 'histogram' ? (body as Histogram) : null;
}

/** Lower and upper edge of a bin, in the unit shown. */
export function edgesOf(histogram: Histogram, bin: number): [number, number] {
  const low = histogram.first_edge + bin * histogram.bin_width;
  return [low, low + histogram.bin_width];
}

/** The bin at a place of the picture; none beside the bins. */
export function binAt(histogram: Histogram, field: Field, x: number): number | null {
  const value = valueOn(histogram.x, field, x);
  if (value === null) return null;
  const bin = Math.floor((value - histogram.first_edge) / histogram.bin_width);
  return bin >= 0 && bin < histogram.shares.length ? bin : null;
}

/** Where a bin lies: left and width. */
export function spanOf(histogram: Histogram, field: Field, bin: number): [number, number] {
  const [left, right] = edgesOf(histogram, bin).map((edge) => placeOn(histogram.x, field, edge));
  return [left ?? 0, (right ?? 0) - (left ?? 0)];
}
