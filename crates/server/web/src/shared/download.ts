// Saving what the page shows as files: text as it is, pictures as PNG in the colours of the page.
import face from '@fontsource/libertinus-serif/files/libertinus-serif-latin-400-normal.woff2?url';
import italic from '@fontsource/libertinus-serif/files/libertinus-serif-latin-400-italic.woff2?url';
import greek from '@fontsource/libertinus-serif/files/libertinus-serif-greek-400-italic.woff2?url';

/** Pixels a millimetre on paper, about 300 dots an inch. */
const PIXELS_PER_MM = 12;

export function saveBlob(blob: Blob, name: string) {
  const link = document.createElement('a');
  link.href = URL.createObjectURL(blob);
  link.download = name;
  link.click();
  setTimeout(() => URL.revokeObjectURL(link.href), 10_000);
}

async function asDataAddress(address: string): Promise<string> {
  const blob = await (await fetch(address)).blob();
  return new Promise((resolve, reject) => {
    const reader = new FileReader();
    reader.onload = () => resolve(String(reader.result));
    reader.onerror = () => reject(new Error('the typeface cannot be read'));
    reader.readAsDataURL(blob);
  });
}

/** The faces as rules that a picture carries with it: a picture may fetch nothing. */
async function faces(): Promise<string> {
  const rule = (address: string, style: string, range: string) =>
    `@font-face{font-family:"Libertinus Serif";font-style:${style};src:url(${address});unicode-range:${range}}`;
  const [upright, slanted, letters] = await Promise.all([face, italic, greek].map(asDataAddress));
  return (
    rule(upright ?? '', 'normal', 'U+0-2FF,U+2000-22FF') +
    rule(slanted ?? '', 'italic', 'U+0-2FF,U+2000-22FF') +
    rule(letters ?? '', 'italic', 'U+370-3FF')
  );
}

/** Replaces the page's custom properties by the colours that hold now. */
function withColours(svg: string): string {
  const style = getComputedStyle(document.documentElement);
  return svg.replace(/var\((--fig-[a-z-]+),[^)]*\)/g, (_, name: string) => style.getPropertyValue(name).trim());
}

/** An SVG as the page shows it, as a file that stands alone. */
export async function standalone(svg: string): Promise<string> {
  return withColours(svg).replace(/<style>/, `<style>${await faces()}`);
}

/** An SVG as PNG on a sheet of the page's colour. */
export async function png(svg: string): Promise<Blob> {
  const text = await standalone(svg);
  const box = /viewBox="([\d.\s-]+)"/.exec(text)?.[1]?.trim().split(/\s+/).map(Number) ?? [0, 0, 165, 100];
  const width = Math.round((box[2] ?? 165) * PIXELS_PER_MM);
  const height = Math.round((box[3] ?? 100) * PIXELS_PER_MM);
  const sized = text.replace(/<svg([^>]*)>/, (_, rest: string) =>
    `<svg${rest.replace(/\s(width|height)="[^"]*"/g, '')} width="${width}" height="${height}">`);
  const image = new Image();
  const address = URL.createObjectURL(new Blob([sized], { type: 'image/svg+xml' }));
  try {
    image.src = address;
    await image.decode();
    const canvas = document.createElement('canvas');
    canvas.width = width;
    canvas.height = height;
    const paint = canvas.getContext('2d');
    if (!paint) throw new Error('this browser cannot draw pictures');
    paint.fillStyle = getComputedStyle(document.documentElement).getPropertyValue('--fig-sheet');
    paint.fillRect(0, 0, width, height);
    paint.drawImage(image, 0, 0);
    return await new Promise((resolve, reject) =>
      canvas.toBlob((blob) => (blob ? resolve(blob) : reject(new Error('the picture is empty'))), 'image/png'));
  } finally {
    URL.revokeObjectURL(address);
  }
}
