// Maps of the server: which cell lies under a place of the picture. Positions are those of the picture, in its millimetres.
import type { Body, Map as FigureMap } from '../generated/api';
import { valueOn, type Field } from './paper';

/** A cell of a panel. */
export interface Cell {
  panel: number;
  column: number;
  row: number;
}

/** The map that a figure is, if it is one; the kind stands beside the map's own keys. */
export function asMap(body: Body): FigureMap | null {
  return 'kind' in body && body.kind === 'map' ? (body as FigureMap) : null;
}

/** Which of the pieces between ascending edges holds a value; none beyond the first and the last. */
export function between(edges: number[], value: number): number | null {
  const after = edges.findIndex((edge) => edge >= value);
  if (after < 0 || (after === 0 && edges[0] !== value)) return null;
  return Math.max(after - 1, 0);
}

/** The cell at a place of the picture. */
export function cellAt(map: FigureMap, fields: Field[], x: number, y: number): Cell | null {
  for (const [panel, shown] of map.panels.entries()) {
    const field = fields[panel];
    if (!field) continue;
    const [, top = 0, , height = 0] = field;
    if (y < top || y > top + height) continue;
    const [low = 0, high = 1] = shown.y.range;
    const value = valueOn(map.x, field, x);
    if (value === null) return null;
    const column = between(shown.x_edges, value);
    const row = between(shown.y_edges, high - ((high - low) * (y - top)) / height);
    return column === null || row === null ? null : { panel, column, row };
  }
  return null;
}
