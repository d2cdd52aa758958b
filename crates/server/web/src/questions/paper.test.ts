// Pictures of the server, zoomed.
import { expect, it } from 'vitest';
import { MOST_ZOOM, withThinLines, zoomTo } from './paper';

it('identity_what_is_dragged_over_fills_the_frame_from_whichever_corner', () => {
  expect(zoomTo([10, 10], [30, 20], [100, 80])).toEqual({ factor: 5, middle: [20, 15] });
  expect(zoomTo([30, 20], [10, 10], [100, 80])).toEqual({ factor: 5, middle: [20, 15] });
  expect(zoomTo([5, 5], [5, 5], [100, 80]).factor).toBe(MOST_ZOOM);
  expect(zoomTo([0, 0], [300, 300], [100, 80]).factor).toBe(1);
});

it('identity_lines_and_dashes_are_as_thin_at_any_zoom_and_nothing_else_changes', () => {
  const rule = '.f-second { fill: none; stroke: red; stroke-width: 0.45; stroke-dasharray: 2.2 0.9; stroke-linejoin: round; }';
  const line = (length: string) => `calc(${length}px / var(--zoom, 1))`;
  expect(withThinLines(rule)).toBe(
    `.f-second { fill: none; stroke: red; stroke-width: ${line('0.45')}; stroke-dasharray: ${line('2.2')} ${line('0.9')}; stroke-linejoin: round; }`,
  );
});
