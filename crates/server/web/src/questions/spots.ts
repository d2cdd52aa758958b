// What can be read in pictures with places of their own: vectors, values round a turn, stems. Places are those of the picture, in its millimetres.
import type { Axis, Body, FigurePage, Markup, Polar, RoundChart, Stems } from '../generated/api';
import { angleOf } from '../drawing/view';
import { wrap } from '../drawing/motion';
import { displayShown } from '../shared/numbers';
import type { Field, Place } from './paper';

/** A name and its value in words. */
export type Reading = [name: Markup, value: string];

/** One thing that can be read. */
export interface Spot {
  /** Lines near which the pointer means it; what it stands for is marked at the end of each. Most are no longer than a point. */
  lines: [from: Place, to: Place][];
  read: () => Reading[];
}

/** Spots in their order, of one curve or one panel. */
export interface Track {
  /** The panel, and the curve where a panel has several. */
  names: Markup[];
  spots: Spot[];
}

/** A spot by the number of its track and its own in it. */
export interface At {
  track: number;
  spot: number;
}

/** Everything that can be read in a figure; nothing where its numbers stand in the picture, or where another plot reads them. */
export function tracksOf({ figure, fields_paper_mm: fields }: Pick<FigurePage, 'figure' | 'fields_paper_mm'>): Track[] {
  const body: Body = figure.body;
  if (!('kind' in body)) return [];
  let tracks: Track[] = [];
  if (body.kind === 'polar') tracks = vectors(body as Polar, fields);
  else if (body.kind === 'round') tracks = turns(body as RoundChart, fields);
  else if (body.kind === 'stems') tracks = stems(body as Stems, fields);
  return tracks.filter(({ spots }) => spots.length > 0);
}

const point = (at: Place): [Place, Place] => [at, at];
const words = (text: string): Markup => [{ tag: 'words', text }];
const bare = (axis: Axis, value: number): Reading => [axis.label, displayShown(axis.quantity, value, 'bare')];
const middleOf = ([left = 0, top = 0, width = 0, height = 0]: Field): Place => [left + width / 2, top + height / 2];

/** The tips of vectors, in their frame and where a part of it is drawn larger. */
function vectors({ panels }: Polar, fields: Field[]): Track[] {
  let enlarged = panels.length;
  return panels.flatMap(({ title, radius, detail, series }, panel) => {
    const frame = vectorsOn(fields[panel], [0, 0], radius.range[1] ?? 1);
    const larger = detail ? vectorsOn(fields[enlarged++], detail.centre, detail.radius) : null;
    // Nothing else is drawn in the enlarged circle.
    const isEnlarged = (x: number, y: number) => detail && Math.hypot(x - (detail.centre[0] ?? 0), y - (detail.centre[1] ?? 0)) <= detail.radius;
    return series.map(({ label, pieces }) => ({
      names: [title, label],
      spots: pieces.flat().map(([x = 0, y = 0]) => ({
        lines: [frame, isEnlarged(x, y) ? larger : null].flatMap((on) => (on ? [point(on(x, y))] : [])),
        read: (): Reading[] => [
          bare(radius, Math.hypot(x, y)),
          [words('direction'), displayShown('angle_rad', wrap(angleOf([x, y]), 360))],
        ],
      })),
    }));
  });
}

/** Where vectors stand in a round field, given the one in its middle and the distance to its rim. */
function vectorsOn(field: Field | undefined, [mx = 0, my = 0]: number[], rim: number) {
  const [cx, cy] = middleOf(field ?? []);
  const scale = (field?.[2] ?? 0) / 2 / rim;
  return (x: number, y: number): Place => [cx + scale * (x - mx), cy - scale * (y - my)];
}

/** Values round a turn: meant along the whole spoke, marked where the curve crosses it. */
function turns({ angle, radius, curves }: RoundChart, fields: Field[]): Track[] {
  const [low = 0, high = 1] = radius.range;
  return curves.map(({ label, points }, curve) => {
    const field = fields[curve] ?? [];
    const centre = middleOf(field);
    const on = vectorsOn(field, [0, 0], high - low);
    const place = (deg: number, value: number): Place => {
      const turn = (deg * Math.PI) / 180;
      return on((value - low) * Math.cos(turn), (value - low) * Math.sin(turn));
    };
    return {
      names: [label],
      spots: points.map(([at = 0, least = 0, greatest = 0]) => ({
        lines: (least === greatest ? [least] : [least, greatest]).map((value): [Place, Place] => [centre, place(at, value)]),
        read: (): Reading[] => {
          const both = [least, greatest].map((value) => displayShown(radius.quantity, value, 'bare'));
          return [[angle.label, displayShown(angle.quantity, at)], [radius.label, [...new Set(both)].join(' to ')]];
        },
      })),
    };
  });
}

/** Stems over a logarithmic axis, from their foot to their end. */
function stems({ x, panels }: Stems, fields: Field[]): Track[] {
  const [first = 0, last = 1] = x.range.map(Math.log);
  return panels.map((panel, index) => {
    const [left = 0, top = 0, width = 0, height = 0] = fields[index] ?? [];
    const [low = 0, high = 1] = panel.y.range;
    return {
      names: [panel.title],
      spots: panel.stems.map((stem) => {
        const at = left + (width * (Math.log(stem.x) - first)) / (last - first);
        const end = top + height - (height * (stem.value - low)) / (high - low);
        // The first line of its label is its place, which is read anyway.
        const names = stem.label.slice(1).map((name): Reading => [name, '']);
        return { lines: [[[at, top + height], [at, end]]], read: () => [bare(x, stem.x), ...names, bare(panel.y, stem.value)] };
      }),
    };
  });
}

/** Distance of a place from a line between two others. */
function distance([x, y]: Place, [[ax, ay], [bx, by]]: [Place, Place]): number {
  const [dx, dy] = [bx - ax, by - ay];
  const long = dx * dx + dy * dy;
  const share = long === 0 ? 0 : Math.min(Math.max(((x - ax) * dx + (y - ay) * dy) / long, 0), 1);
  return Math.hypot(x - ax - share * dx, y - ay - share * dy);
}

/** Whether a place is in a field, or on its edge as rounding has it. */
function isIn([x, y]: Place, [left = 0, top = 0, width = 0, height = 0]: Field): boolean {
  const edge = 1e-6;
  return x >= left - edge && x <= left + width + edge && y >= top - edge && y <= top + height + edge;
}

/** The spot nearest to a place, of those that stand in the same field as it. */
export function nearest(tracks: Track[], fields: Field[], place: Place): At | null {
  const about = fields.filter((field) => isIn(place, field));
  let found: At | null = null;
  let least = Infinity;
  tracks.forEach(({ spots }, track) =>
    spots.forEach(({ lines }, spot) =>
      lines.forEach((line) => {
        const away = distance(place, line);
        if (away >= least || !about.some((field) => isIn(line[1], field))) return;
        least = away;
        found = { track, spot };
      }),
    ),
  );
  return found;
}

/** The spot some steps on, round from the last to the first; or in another track, as near as it has one. */
export function stepped(tracks: Track[], at: At | null, steps: number, toTrack: number): At | null {
  if (tracks.every(({ spots }) => spots.length === 0)) return null;
  if (!at) return { track: 0, spot: 0 };
  const track = wrap(at.track + toTrack, tracks.length);
  const count = tracks[track]?.spots.length ?? 0;
  const spot = Math.min(at.spot, count - 1);
  return { track, spot: steps === 0 ? spot : wrap(spot + steps, count) };
}
