// Sets transforms and colours of one picture, straight on the elements, so that a moving crank costs no more than that.
import type { Motion, Scene } from '../generated/api';
import { cageTurnDeg, colourOf, discPlace, forcesAt, pitchPoint, plateTurnDeg, type Forces } from './motion';

export interface Shown {
  disc: number;
  forces: boolean;
  normals: boolean;
  ghosts: boolean;
  exaggerated: boolean;
}

/** The elements that move. */
export interface Parts {
  discs: SVGGElement[];
  throws: SVGGElement[];
  cages: SVGGElement[];
  plate: SVGGElement | null;
  hand: SVGGElement | null;
  pitch: SVGGElement | null;
  pitchCircle: SVGGElement | null;
  normals: SVGLineElement[];
  rollers: SVGElement[];
  pins: SVGElement[];
  rollerArrows: SVGGElement[];
  pinArrows: SVGGElement[];
  bearingArrow: SVGGElement | null;
}

/** Length of the longest arrow, over the radius of the pin circle or that of the ring. */
const ARROW_SHARE = 0.3;
/** Length of the longest arrow at a roller over that. */
const ROLLER_SHARE = 0.6;
/** Size of an arrow's head, over the radius of the drive. */
const HEAD_SHARE = 0.0145;
/** Forces below this share of the greatest one are not drawn. */
const LEAST_SHARE = 0.004;

const place = (x: number, y: number, turn: number) => `translate(${x} ${y}) rotate(${turn})`;

/** Paints the drawing at a crank angle; gives the forces that it shows. */
export function paint(
  parts: Parts, scene: Scene, motion: Motion, shown: Shown, colours: string[], crankDeg: number,
): Forces | null {
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
  paintForces(parts, scene, motion, shown, colours, crankDeg, forces, [px, py], [cx, cy]);
  return forces;
}

function paintForces(
  parts: Parts, scene: Scene, motion: Motion, shown: Shown, colours: string[], crankDeg: number,
  forces: Forces | null, pitch: readonly [number, number], centre: readonly [number, number],
) {
  const [mostRoller, mostPin, mostBearing] = motion.greatest_force_n as [number, number, number];
  // Each kind has its own scale, which the legend tells: forces at rollers are far smaller than at pins.
  const reach = scene.ring_radius_mm * ARROW_SHARE;
  const head = scene.outside_radius_mm * HEAD_SHARE;
  const greatest = motion.pressure_scale.greatest;
  scene.roller_centres_mm.forEach(([x = 0, y = 0], index) => {
    const force = forces?.roller.forceN[index] ?? 0;
    const turn = forces?.roller.directionDeg[index] ?? 0;
    const colour = colourOf(colours, greatest, forces?.roller.pressureMpa[index] ?? 0);
    const isLoaded = mostRoller > 0 && force > LEAST_SHARE * mostRoller;
    fill(parts.rollers[index], isLoaded ? colour : '');
    arrow(parts.rollerArrows[index], shown.forces && isLoaded, x, y, turn, scene.roller_radius_mm, (force / mostRoller) * reach * ROLLER_SHARE, head, colour);
    const normal = parts.normals[index];
    if (normal) {
      show(normal, shown.normals && isLoaded);
      if (!shown.normals || !isLoaded) return;
      normal.setAttribute('x2', String(pitch[0]));
      normal.setAttribute('y2', String(pitch[1]));
    }
  });
  const plate = (plateTurnDeg(motion, crankDeg) * Math.PI) / 180;
  const outside = scene.sleeve_radius_mm ?? scene.pin_radius_mm;
  scene.pin_centres_mm.forEach(([x = 0, y = 0], index) => {
    const force = forces?.pin.forceN[index] ?? 0;
    const turn = forces?.pin.directionDeg[index] ?? 0;
    const colour = colourOf(colours, greatest, forces?.pin.pressureMpa[index] ?? 0);
    const isLoaded = mostPin > 0 && force > LEAST_SHARE * mostPin;
    fill(parts.pins[index], isLoaded ? colour : '');
    const at: [number, number] = [x * Math.cos(plate) - y * Math.sin(plate), x * Math.sin(plate) + y * Math.cos(plate)];
    arrow(parts.pinArrows[index], shown.forces && isLoaded, at[0], at[1], turn, outside, (force / mostPin) * reach, head, colour);
  });
  const bearing = forces?.bearing;
  const length = bearing && mostBearing > 0 ? (bearing.forceN / mostBearing) * reach : 0;
  arrow(parts.bearingArrow ?? undefined, shown.forces && length > 0, centre[0], centre[1], bearing?.directionDeg ?? 0, 0, length, 1.4 * head, '');
}

/** Sets a fill only where it changes: a style that is set anew costs the browser a look at the whole element. */
function fill(element: SVGElement | undefined, colour: string) {
  if (!element || element.dataset.fill === colour) return;
  element.dataset.fill = colour;
  element.style.fill = colour;
}

function show(element: SVGElement, isShown: boolean) {
  const display = isShown ? '' : 'none';
  if (element.style.display !== display) element.style.display = display;
}

/** An arrow that begins at the contact, `offset` from a centre, and points where the force pushes the disc. */
function arrow(
  element: SVGGElement | undefined, isShown: boolean, x: number, y: number, turn: number, offset: number,
  length: number, headSize: number, colour: string,
) {
  if (!element) return;
  show(element, isShown);
  if (!isShown) return;
  element.setAttribute('transform', `translate(${x} ${y}) rotate(${turn}) translate(${offset} 0)`);
  if (colour && element.dataset.ink !== colour) {
    element.dataset.ink = colour;
    element.style.color = colour;
  }
  const [shaft, head] = element.children;
  shaft?.setAttribute('x2', String(length));
  head?.setAttribute('transform', `translate(${length} 0) scale(${headSize})`);
}
