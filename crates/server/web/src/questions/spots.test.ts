// What is read in polar plots, plots round a turn and stems, and where it stands.
import { expect, it } from 'vitest';
import type { Axis, FigurePage } from '../generated/api';
import { nearest, stepped, tracksOf, type Spot } from './spots';

const axis = (quantity: string, range: [number, number]): Axis => ({ quantity, label: [{ tag: 'words', text: quantity }], range, ticks: [] });
const named = (text: string) => [{ tag: 'words' as const, text }];
const page = (body: object, fields: number[][]) => ({ figure: { body }, fields_paper_mm: fields }) as unknown as Pick<FigurePage, 'figure' | 'fields_paper_mm'>;
const panelOf = ({ figure }: { figure: { body: unknown } }) => (figure.body as { panels: object[] }).panels[0];
const values = (spot: Spot | undefined) => spot?.read().map(([, value]) => value);
const ends = (spot: Spot | undefined) => spot?.lines.map(([, end]) => end.map((side) => Number(side.toFixed(6))));

const polar = page(
  {
    kind: 'polar',
    panels: [
      {
        name: 'a',
        title: named('against the crank'),
        radius: axis('bearing_force_n', [0, 100]),
        series: [{ name: 's', label: named('disc 1'), style: 'first', pieces: [[[30, 40], [0, -50]]] }],
        arrows: [],
        detail: { centre: [30, 30], radius: 20, bar: { value: 10, label: '10 N' } },
      },
    ],
  },
  [[10, 10, 40, 40], [100, 0, 20, 20]],
);

it('identity_a_vector_is_read_as_its_length_and_direction_in_its_frame_and_where_it_is_enlarged', () => {
  const [track] = tracksOf(polar);
  expect(track?.names).toEqual([named('against the crank'), named('disc 1')]);
  expect(values(track?.spots[0])).toEqual(['50', '53.1°']);
  expect(values(track?.spots[1])).toEqual(['50', '270.0°']);
  // 20 mm to the rim for 100 N; in the enlarged circle 10 mm for 20 N.
  expect(ends(track?.spots[0])).toEqual([[36, 22], [110, 5]]);
  // What lies outside the enlarged circle is drawn in the frame alone.
  expect(ends(track?.spots[1])).toEqual([[30, 40]]);
});

const round = page(
  {
    kind: 'round',
    angle: axis('output_angle_rad', [0, 360]),
    radius: axis('output_error_rad', [-1, 1]),
    scale: [],
    curves: [{ name: 'ahead', label: named('ahead'), points: [[0, 0, 0], [90, -0.5, 0.5], [180, 1, 1]] }],
  },
  [[0, 0, 40, 40]],
);

it('identity_a_band_round_a_turn_is_read_from_least_to_greatest_and_a_line_as_one_value', () => {
  const [track] = tracksOf(round);
  expect(values(track?.spots[0])).toEqual(['0.0°', '0.000']);
  expect(ends(track?.spots[0])).toEqual([[30, 20]]);
  expect(values(track?.spots[1])).toEqual(['90.0°', '−0.500 to 0.500']);
  expect(ends(track?.spots[1])).toEqual([[20, 15], [20, 5]]);
  expect(ends(track?.spots[2])).toEqual([[0, 20]]);
});

const stems = page(
  {
    kind: 'stems',
    x: axis('order', [1, 100]),
    panels: [
      {
        name: 'ahead',
        title: named('load anticlockwise'),
        height_paper_mm: 20,
        y: axis('error_amplitude_rad', [0, 4]),
        stems: [{ x: 1, value: 4, label: [] }, { x: 10, value: 1, label: [named('10'), named('mesh')] }],
      },
    ],
  },
  [[10, 10, 60, 20]],
);

it('identity_a_stem_stands_where_the_logarithmic_axis_has_its_order_and_says_what_makes_it', () => {
  const [track] = tracksOf(stems);
  expect(track?.spots.map((spot) => spot.lines)).toEqual([[[[10, 30], [10, 10]]], [[[40, 30], [40, 25]]]]);
  expect(values(track?.spots[1])).toEqual(['10', '', '1.00']);
});

it('identity_the_pointer_reads_what_is_nearest_and_nothing_outside_the_fields', () => {
  const read = (of: typeof round, x: number, y: number) => nearest(tracksOf(of), of.fields_paper_mm, [x, y]);
  // Near the foot of a tall stem its top is far, and the stem is near all the same.
  expect(read(stems, 14, 29)).toEqual({ track: 0, spot: 0 });
  expect(read(stems, 39, 12)).toEqual({ track: 0, spot: 1 });
  expect(read(stems, 5, 20)).toBeNull();
  // Between two panels what stands in the one that is under the pointer, though the other has something nearer.
  const two = page({ ...stems.figure.body, panels: [{ ...panelOf(stems), stems: [{ x: 1, value: 4, label: [] }] }, panelOf(stems)] }, [[10, 10, 60, 20], [10, 31, 60, 20]]);
  expect(read(two, 40, 29)).toEqual({ track: 0, spot: 0 });
  // Along a spoke, wherever its curve is.
  expect(read(round, 21, 10)).toEqual({ track: 0, spot: 1 });
  // In the enlarged circle too.
  expect(read(polar, 111, 6)).toEqual({ track: 0, spot: 0 });
});

it('identity_keys_go_round_a_curve_and_from_curve_to_curve', () => {
  const spot = { lines: [], read: () => [] };
  const tracks = [3, 1].map((count) => ({ names: [], spots: new Array<Spot>(count).fill(spot) }));
  expect(stepped(tracks, null, 1, 0)).toEqual({ track: 0, spot: 0 });
  expect(stepped(tracks, { track: 0, spot: 2 }, 1, 0)).toEqual({ track: 0, spot: 0 });
  expect(stepped(tracks, { track: 0, spot: 0 }, -1, 0)).toEqual({ track: 0, spot: 2 });
  expect(stepped(tracks, { track: 0, spot: 2 }, 0, 1)).toEqual({ track: 1, spot: 0 });
  expect(stepped([], null, 1, 0)).toBeNull();
  const empty = page({ ...stems.figure.body, panels: [{ ...panelOf(stems), stems: [] }, panelOf(stems)] }, [[10, 10, 60, 20], [10, 40, 60, 20]]);
  expect(tracksOf(empty)).toHaveLength(1);
});

it('identity_figures_whose_numbers_stand_in_them_have_nothing_to_read', () => {
  expect(tracksOf(page({ kind: 'bars', axis: axis('margin', [0, 1]), rows: [] }, []))).toEqual([]);
});
