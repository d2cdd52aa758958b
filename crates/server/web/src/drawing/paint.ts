// Sets transforms and colours of one picture, straight on the elements, so that a moving crank costs no more than that.
import type { Motion, Scene } from '../generated/api';
import { cageTurnDeg, colourOf, discPlace, forcesAt, frameTurnDeg, pitchPoint, plateTurnDeg, type Forces } from './motion';

export interface Shown {
  disc: number;
  forces: boolean;
  normals: boolean;
  ghosts: boolean;
  exaggerated: boolean;
}

/** The elements that move. */
export interface Parts {
  frame: SVGGElement | null;
  discs: SVGGElement[];
  throws: SVGGElement[];
  cages: SVGGElement[];
  plate: SVGGElement | null;
  hand: SVGGElement | null;
  pitch: SVGGElement | null;
  pitchCircle: SVGGElement | null;
  normals: SVGPathElement | null;
  rollers: SVGElement[];
  pins: SVGElement[];
  rollerArrows: SVGPathElement[];
  pinArrows: SVGPathElement[];
  bearingArrow: SVGPathElement | null;
}

/** Length of the longest arrow, over the radius of the pin circle or that of the ring. */
const ARROW_SHARE = 0.3;
/** Length of the longest arrow at a roller over that. */
const ROLLER_SHARE = 0.6;
/** Size of an arrow's head, over the radius of the drive. */
const HEAD_SHARE = 0.0145;
const LEAST_HEAD_PIXELS = 4.4;
/** Length of a head and half its width, over its size. */
const HEAD_LENGTH = 1.9;
const HEAD_HALF_WIDTH = 0.75;
/** Width of an arrow's shaft. */
const SHAFT_PIXELS = 2.2;
/** Forces below this share of the greatest one are not drawn. */
const LEAST_SHARE = 0.004;

const place = (x: number, y: number, turn: number) => `translate(${x} ${y}) rotate(${turn})`;

/** Paints the drawing at a crank angle; gives the forces that it shows. */
export function paint(
  parts: Parts, scene: Scene, motion: Motion, shown: Shown, colours: string[], crankDeg: number,
  pixelsPerMm: number,
): Forces | null {
  turnFrame(parts.frame, frameTurnDeg(motion, crankDeg));
  for (let disc = 0; disc < parts.discs.length; disc += 1) {
    const { centre: [x, y], turnDeg } = discPlace(motion, disc, crankDeg);
    parts.discs[disc]?.setAttribute('transform', place(x, y, turnDeg));
    parts.throws[disc]?.setAttribute('transform', place(x, y, crankDeg));
    parts.cages[disc]?.setAttribute('transform', place(x, y, cageTurnDeg(motion, disc, crankDeg)));
  }
  parts.plate?.setAttribute('transform', `rotate(${plateTurnDeg(motion, crankDeg)})`);
  parts.hand?.setAttribute('transform', `rotate(${crankDeg})`);
  const [px, py] = pitchPoint(motion, shown.disc, crankDeg);
  parts.pitch?.setAttribute('transform', `translate(${px} ${py})`);
  const { centre: [cx, cy] } = discPlace(motion, shown.disc, crankDeg);
  parts.pitchCircle?.setAttribute('transform', `translate(${cx} ${cy})`);
  const forces = forcesAt(motion, shown.disc, crankDeg);
  paintForces(parts, scene, motion, shown, colours, crankDeg, pixelsPerMm, forces, [px, py], [cx, cy]);
  return forces;
}

/** With a held ring the frame stands, and is not touched at all. */
function turnFrame(frame: SVGGElement | null, turnDeg: number) {
  if (turnDeg !== 0) frame?.setAttribute('transform', `rotate(${turnDeg})`);
  else if (frame?.hasAttribute('transform')) frame.removeAttribute('transform');
}

function paintForces(
  parts: Parts, scene: Scene, motion: Motion, shown: Shown, colours: string[], crankDeg: number, pixelsPerMm: number,
  forces: Forces | null, pitch: readonly [number, number], centre: readonly [number, number],
) {
  const [mostRoller, mostPin, mostBearing] = motion.greatest_force_n as [number, number, number];
  // Each kind has its own scale, which the legend tells: forces at rollers are far smaller than at pins.
  const reach = scene.ring_radius_mm * ARROW_SHARE;
  const head = Math.max(scene.outside_radius_mm * HEAD_SHARE, LEAST_HEAD_PIXELS / pixelsPerMm);
  const shaft = SHAFT_PIXELS / 2 / pixelsPerMm;
  const greatest = motion.pressure_scale.greatest;
  let normals = '';
  scene.roller_centres_mm.forEach(([x = 0, y = 0], index) => {
    const force = forces?.roller.forceN[index] ?? 0;
    const turn = forces?.roller.directionDeg[index] ?? 0;
    const colour = colourOf(colours, greatest, forces?.roller.pressureMpa[index] ?? 0);
    const isLoaded = mostRoller > 0 && force > LEAST_SHARE * mostRoller;
    fill(parts.rollers[index], isLoaded ? colour : '');
    const length = shown.forces && isLoaded ? (force / mostRoller) * reach * ROLLER_SHARE : 0;
    draw(parts.rollerArrows[index], arrow(x, y, turn, scene.roller_radius_mm, length, head, shaft), colour);
    if (shown.normals && isLoaded) normals += `M${x} ${y}L${pitch[0]} ${pitch[1]}`;
  });
  draw(parts.normals, normals);
  const plate = (plateTurnDeg(motion, crankDeg) * Math.PI) / 180;
  const outside = scene.sleeve_radius_mm ?? scene.pin_radius_mm;
  scene.pin_centres_mm.forEach(([x = 0, y = 0], index) => {
    const force = forces?.pin.forceN[index] ?? 0;
    const turn = forces?.pin.directionDeg[index] ?? 0;
    const colour = colourOf(colours, greatest, forces?.pin.pressureMpa[index] ?? 0);
    const isLoaded = mostPin > 0 && force > LEAST_SHARE * mostPin;
    fill(parts.pins[index], isLoaded ? colour : '');
    const at: [number, number] = [x * Math.cos(plate) - y * Math.sin(plate), x * Math.sin(plate) + y * Math.cos(plate)];
    const length = shown.forces && isLoaded ? (force / mostPin) * reach : 0;
    draw(parts.pinArrows[index], arrow(at[0], at[1], turn, outside, length, head, shaft), colour);
  });
  const bearing = forces?.bearing;
  const length = shown.forces && bearing && mostBearing > 0 ? (bearing.forceN / mostBearing) * reach : 0;
  draw(parts.bearingArrow, arrow(centre[0], centre[1], bearing?.directionDeg ?? 0, 0, length, 1.4 * head, 1.5 * shaft));
}

/** Sets a fill only where it changes: a style that is set anew costs the browser a look at the whole element. */
function fill(element: SVGElement | undefined, colour: string) {
  if (!element || element.dataset.fill === colour) return;
  element.dataset.fill = colour;
  element.style.fill = colour;
}

/** Sets an outline, empty where there is nothing to draw. */
function draw(element: SVGPathElement | null | undefined, outline: string, colour = '') {
  if (!element) return;
  if (outline !== '' || element.getAttribute('d') !== '') element.setAttribute('d', outline);
  if (outline !== '' && colour !== '') fill(element, colour);
}

/**
 * Outline of an arrow that begins at the contact, `offset` from a centre, and points where the force pushes the disc.
 * One path without a transform of its own is what moves at the least cost.
 */
export function arrow(
  x: number, y: number, turnDeg: number, offset: number, length: number, head: number, shaft: number,
): string {
  if (!(length > 0)) return '';
  const along = [Math.cos((turnDeg * Math.PI) / 180), Math.sin((turnDeg * Math.PI) / 180)] as const;
  const at = (far: number, aside: number) =>
    `${x + far * along[0] - aside * along[1]} ${y + far * along[1] + aside * along[0]}`;
  const tip = offset + length;
  const base = tip - HEAD_LENGTH * head;
  const half = HEAD_HALF_WIDTH * head;
  const point = `${at(base, half)}L${at(tip, 0)}L${at(base, -half)}`;
  if (base <= offset) return `M${point}Z`;
  return `M${at(offset, shaft)}L${at(base, shaft)}L${point}L${at(base, -shaft)}L${at(offset, -shaft)}Z`;
}
