// Formulas in plain letters, as pieces that are set level, above or below: `D_w^1.8`, `K1²`, `Z^(2/3)`.

export interface Piece {
  text: string;
  at: 'level' | 'above' | 'below';
}

/** `_r` behind a letter; digits right behind a single letter, `C0`, `L10h`; `^` with a power, whose brackets go. */
const RAISED = /(?<below>(?<=\p{L})_[\p{L}\d]+%?)|(?<index>(?<=(?<![\p{L}\d_.])\p{L})\d+(?:,\p{L}+|h)?(?![\p{L}\d.]))|\^(?:\((?<bracketed>[^()]*)\)|(?<power>[\p{L}\d.]*[\p{L}\d]))/gu;

/** A formula in pieces, in their order. */
export function pieces(text: string): Piece[] {
  const found: Piece[] = [];
  let end = 0;
  for (const match of text.matchAll(RAISED)) {
    if (match.index > end) found.push({ text: text.slice(end, match.index), at: 'level' });
    const { below, index, bracketed, power } = match.groups ?? {};
    if (below ?? index) found.push({ text: below?.slice(1) ?? index ?? '', at: 'below' });
    else found.push({ text: bracketed ?? power ?? '', at: 'above' });
    end = match.index + match[0].length;
  }
  if (end < text.length) found.push({ text: text.slice(end), at: 'level' });
  return found;
}
