// The assembly in space: prisms from the server, placed by the same motion as the drawing.
import {
  AlwaysStencilFunc, AmbientLight, BackSide, Color, DecrementWrapStencilOp, DirectionalLight, EdgesGeometry,
  ExtrudeGeometry, FrontSide, Group, IncrementWrapStencilOp, InstancedMesh, LineBasicMaterial, LineSegments, Matrix4,
  Mesh, MeshBasicMaterial, MeshStandardMaterial, NotEqualStencilFunc, OrthographicCamera, Path, Plane, PlaneGeometry,
  ReplaceStencilOp, Scene, Shape, Vector3, WebGLRenderer, type BufferGeometry, type Material, type Object3D, type Side,
} from 'three';
import { OrbitControls } from 'three/examples/jsm/controls/OrbitControls.js';
import { toCreasedNormals } from 'three/examples/jsm/utils/BufferGeometryUtils.js';
import type { Motion, Prism, Solids } from '../generated/api';
import { cageTurnDeg, discPlace, frameTurnDeg, plateTurnDeg } from '../drawing/motion';

export interface Look {
  /** How far the parts are drawn apart, from 0 to 1. */
  apart: number;
  /** Where the section lies, from −1 to 1; absent where the drive is whole. */
  cut: number | null;
  /** Kinds of parts that are not shown. */
  hidden: Set<string>;
}

const NAMES: Record<string, string> = {
  ring: '--steel-deep', roller: '--fig-second', disc: '--fig-first', pin: '--fig-third', sleeve: '--fig-holds',
  crank: '--fig-doubtful', bearing: '--fig-quiet', plate: '--steel-deep',
};

function shapeOf(part: Prism): Shape {
  const shape = new Shape(part.outline_mm.map(([x = 0, y = 0]) => ({ x, y })) as never);
  shape.holes = part.holes_mm.map((hole) => new Path(hole.map(([x = 0, y = 0]) => ({ x, y })) as never));
  return shape;
}

/** The angle between two faces from which their edge is drawn, in degrees. */
const EDGE_ANGLE_DEG = 35;
/** How far neighbours are drawn apart at most, in lengths of the drive. */
const STEP_APART = 0.9;
/** Room about the drive, and about its parts where they are drawn apart. */
const ROOM = 1.22;
const ROOM_APART = 1.04;
/** Solids are drawn after all cut faces, which need the counting of pixels for themselves. */
const SOLID_ORDER = 10_000;

export class SpaceView {
  readonly renderer: WebGLRenderer;
  readonly camera: OrthographicCamera;
  readonly controls: OrbitControls;
  readonly #scene = new Scene();
  /** It takes away what lies towards the viewer, through the axis where it stands in the middle. */
  readonly #plane = new Plane(new Vector3(-0.61, 0.79, 0).normalize(), 0);
  readonly #sheet = new PlaneGeometry(1, 1);
  readonly #caps = new Group();
  #frames = new Map<string, { group: Group; parts: { object: Object3D; cap: Object3D[]; order: number; kind: string }[] }>();
  #world = new Group();
  #reach = 100;
  #length = 50;
  /** Room of the assembly along its axis, to either side of the middle; more where its parts are drawn apart. */
  #halfLength = 25;
  #disposable: (BufferGeometry | Material)[] = [];
  #isAsked = false;

  constructor(canvas: HTMLCanvasElement) {
    this.renderer = new WebGLRenderer({ canvas, antialias: true, alpha: true, stencil: true, preserveDrawingBuffer: true });
    this.renderer.setPixelRatio(Math.min(devicePixelRatio, 2));
    this.camera = new OrthographicCamera(-100, 100, 100, -100, -2000, 4000);
    this.camera.position.set(160, -210, 260);
    this.camera.up.set(0, 1, 0);
    this.controls = new OrbitControls(this.camera, canvas);
    this.controls.addEventListener('change', () => this.#fit());
    const key = new DirectionalLight(0xffffff, 2.4);
    key.position.set(120, 220, 400);
    const fill = new DirectionalLight(0xffffff, 0.9);
    fill.position.set(-260, -120, 160);
    this.#scene.add(new AmbientLight(0xffffff, 1.1), key, fill, this.#world, this.#caps);
    this.#caps.quaternion.setFromUnitVectors(new Vector3(0, 0, 1), this.#plane.normal.clone().negate());
  }

  /** Builds the parts anew. */
  show(solids: Solids, inks: (name: string) => string) {
    this.#clear();
    this.#length = solids.length_mm;
    const radii = solids.parts.flatMap((part) => part.outline_mm.map(([x = 0, y = 0]) => Math.hypot(x, y)));
    this.#reach = Math.max(...radii, 1);
    const line = inks('--fig-ink');
    for (const part of solids.parts) this.#add(part, inks(NAMES[part.kind] ?? '--steel'), line);
    this.#halfLength = this.#length / 2;
    this.#world.position.z = -this.#length / 2;
    this.#fit();
  }

  #add(part: Prism, ink: string, line: string) {
    const length = part.to_mm - part.from_mm;
    const sharp = new ExtrudeGeometry(shapeOf(part), { depth: length, bevelEnabled: false });
    sharp.translate(0, 0, part.from_mm);
    const geometry = toCreasedNormals(sharp, (EDGE_ANGLE_DEG * Math.PI) / 180);
    const front = new MeshStandardMaterial({ color: new Color(ink), roughness: 0.55, metalness: 0.15, side: FrontSide, clippingPlanes: [this.#plane] });
    const places = part.places_mm;
    const object = new Group();
    const copies = (material: Material, order: number) => {
      const mesh = new InstancedMesh(geometry, material, places.length);
      places.forEach(([x = 0, y = 0], at) => mesh.setMatrixAt(at, new Matrix4().makeTranslation(x, y, 0)));
      mesh.frustumCulled = false;
      mesh.renderOrder = order;
      object.add(mesh);
      return mesh;
    };
    copies(front, SOLID_ORDER);
    const cap = this.#capOf(new Color(ink).lerp(new Color(line), 0.18), copies);
    this.#disposable.push(sharp, geometry, front);
    if (places.length === 1) {
      const edges = new EdgesGeometry(sharp, EDGE_ANGLE_DEG);
      const pen = new LineBasicMaterial({ color: new Color(line), transparent: true, opacity: 0.35, clippingPlanes: [this.#plane] });
      const lines = new LineSegments(edges, pen);
      lines.position.set(places[0]?.[0] ?? 0, places[0]?.[1] ?? 0, 0);
      object.add(lines);
      this.#disposable.push(edges, pen);
    }
    let frame = this.#frames.get(part.moves_with);
    if (!frame) {
      frame = { group: new Group(), parts: [] };
      this.#frames.set(part.moves_with, frame);
      this.#world.add(frame.group);
    }
    frame.group.add(object);
    frame.parts.push({ object, cap, order: part.explode_order, kind: part.kind });
  }

  /** The cut face of a part: where the section enters it and has not left it, counted pixel by pixel. */
  #capOf(colour: Color, copies: (material: Material, order: number) => Object3D): Object3D[] {
    const order = 3 * this.#caps.children.length;
    const counting = (side: Side, step: typeof IncrementWrapStencilOp | typeof DecrementWrapStencilOp) =>
      new MeshBasicMaterial({
        side, depthWrite: false, depthTest: false, colorWrite: false, clippingPlanes: [this.#plane],
        stencilWrite: true, stencilFunc: AlwaysStencilFunc, stencilFail: step, stencilZFail: step, stencilZPass: step,
      });
    const [into, out] = [counting(BackSide, IncrementWrapStencilOp), counting(FrontSide, DecrementWrapStencilOp)];
    const face = new MeshBasicMaterial({
      color: colour, stencilWrite: true, stencilRef: 0, stencilFunc: NotEqualStencilFunc,
      stencilFail: ReplaceStencilOp, stencilZFail: ReplaceStencilOp, stencilZPass: ReplaceStencilOp,
    });
    const sheet = new Mesh(this.#sheet, face);
    sheet.renderOrder = order + 2;
    sheet.onAfterRender = (renderer) => renderer.clearStencil();
    this.#caps.add(sheet);
    this.#disposable.push(into, out, face);
    return [copies(into, order), copies(out, order + 1), sheet];
  }

  /** Places everything for a crank angle. */
  pose(motion: Motion | null, crankDeg: number, look: Look) {
    this.renderer.localClippingEnabled = look.cut !== null;
    this.#plane.constant = (look.cut ?? 1) * this.#reach;
    this.#caps.position.copy(this.#plane.normal).multiplyScalar(-this.#plane.constant);
    this.#caps.scale.setScalar(8 * (this.#reach + this.#length));
    const highest = Math.max(...[...this.#frames.values()].flatMap((frame) => frame.parts.map((part) => part.order)), 1);
    const halfLength = (this.#length * (1 + STEP_APART * highest * look.apart)) / 2;
    if (halfLength !== this.#halfLength) {
      this.#halfLength = halfLength;
      this.#fit();
    }
    if (motion) this.#world.rotation.z = (frameTurnDeg(motion, crankDeg) * Math.PI) / 180;
    for (const [name, frame] of this.#frames) {
      for (const part of frame.parts) {
        part.object.position.z = (part.order - highest / 2) * look.apart * this.#length * STEP_APART;
        part.object.visible = !look.hidden.has(part.kind);
        for (const cap of part.cap) cap.visible = look.cut !== null && part.object.visible;
      }
      if (!motion) continue;
      const [kind, number] = name.split('-');
      const disc = Number(number ?? 1) - 1;
      if (kind === 'disc' || kind === 'throw' || kind === 'cage') {
        const { centre, turnDeg } = discPlace(motion, disc, crankDeg);
        frame.group.position.set(centre[0], centre[1], 0);
        const turns = { disc: turnDeg, throw: crankDeg, cage: cageTurnDeg(motion, disc, crankDeg) };
        frame.group.rotation.z = (turns[kind] * Math.PI) / 180;
      } else if (kind === 'plate') {
        frame.group.rotation.z = (plateTurnDeg(motion, crankDeg) * Math.PI) / 180;
      }
    }
    this.draw();
  }

  resize(width: number, height: number) {
    if (width < 2 || height < 2) return;
    this.renderer.setSize(width, height, false);
    this.#fit();
  }

  /** Everything is seen as the camera stands, with some room round it. */
  #fit() {
    const { clientWidth: width, clientHeight: height } = this.renderer.domElement;
    if (width < 2 || height < 2) return;
    this.camera.updateMatrixWorld();
    /** How far a cylinder about the axis reaches along a direction of the picture. */
    const reach = (column: number) => {
      // As a share of one, which rounding may pass.
      const along = Math.min(Math.abs(new Vector3().setFromMatrixColumn(this.camera.matrixWorld, column).z), 1);
      const cylinder = this.#reach * Math.sqrt(1 - along * along) + this.#halfLength * along;
      return Math.max(this.#reach * ROOM, cylinder * ROOM_APART);
    };
    const share = width / height;
    const up = Math.max(reach(1), reach(0) / share);
    Object.assign(this.camera, { left: -up * share, right: up * share, top: up, bottom: -up });
    this.camera.updateProjectionMatrix();
    this.draw();
  }

  /** Turns the view, for the keys. */
  orbit(aroundDeg: number, upDeg: number) {
    const offset = this.camera.position.clone().sub(this.controls.target);
    const side = new Vector3().crossVectors(this.camera.up, offset).normalize();
    offset.applyAxisAngle(this.camera.up, (aroundDeg * Math.PI) / 180);
    const tilted = offset.clone().applyAxisAngle(side, (upDeg * Math.PI) / 180);
    if (Math.abs(tilted.clone().normalize().dot(this.camera.up)) < 0.995) offset.copy(tilted);
    this.camera.position.copy(this.controls.target).add(offset);
    this.controls.update();
    this.#fit();
  }

  zoom(factor: number) {
    this.camera.zoom = Math.min(Math.max(this.camera.zoom * factor, 0.3), 20);
    this.camera.updateProjectionMatrix();
    this.draw();
  }

  /** One picture at the next chance, however often it is asked for. */
  draw() {
    if (this.#isAsked) return;
    this.#isAsked = true;
    requestAnimationFrame(() => {
      this.#isAsked = false;
      this.renderer.render(this.#scene, this.camera);
    });
  }

  #clear() {
    for (const frame of this.#frames.values()) this.#world.remove(frame.group);
    for (const each of this.#disposable) each.dispose();
    this.#frames.clear();
    this.#caps.clear();
    this.#disposable = [];
  }

  close() {
    this.#clear();
    this.controls.dispose();
    this.renderer.dispose();
  }
}
