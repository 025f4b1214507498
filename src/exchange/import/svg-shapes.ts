import svgpath from 'svgpath';
import { cubic, line, type Path, type Segment } from '../../geometry/path.js';
import { distance, lerp, type Vec } from '../../geometry/vec.js';

export type Attributes = Readonly<Record<string, string>>;

/** Elements that draw a line, each as path data. Undefined where a number that it needs is missing or wrong. */
export const SHAPES: Readonly<Record<string, (attributes: Attributes) => string | undefined>> = {
  path: (a) => a['d'],
  line: (a) => numbers(a, ['x1', 'y1', 'x2', 'y2'], 0, ([x1, y1, x2, y2]) => `M${x1} ${y1}L${x2} ${y2}`),
  polyline: (a) => pointsData(a['points']),
  polygon: (a) => {
    const data = pointsData(a['points']);
    return data === undefined ? undefined : `${data}Z`;
  },
  rect: (a) =>
    numbers(a, ['x', 'y', 'width', 'height', 'rx', 'ry'], 0, ([x, y, w, h, rx, ry]) => {
      if (w! <= 0 || h! <= 0) return undefined;
      const given = (name: string) => a[name] !== undefined && a[name] !== 'auto';
      // SVG 1.1, 9.2: a radius that is left out is the other one, and neither is more than half the side.
      const r = Math.min(Math.max(0, given('rx') ? rx! : ry!), w! / 2);
      const s = Math.min(Math.max(0, given('ry') ? ry! : rx!), h! / 2);
      if (r === 0 || s === 0) return `M${x} ${y}h${w}v${h}h${-w!}Z`;
      const arc = (dx: number, dy: number) => `a${r} ${s} 0 0 1 ${dx} ${dy}`;
      return `M${x! + r} ${y}h${w! - 2 * r}${arc(r, s)}v${h! - 2 * s}${arc(-r, s)}h${2 * r - w!}${arc(-r, -s)}v${2 * s - h!}${arc(r, -s)}Z`;
    }),
  circle: (a) => numbers(a, ['cx', 'cy', 'r'], 0, ([cx, cy, r]) => ring(cx!, cy!, r!, r!)),
  ellipse: (a) => numbers(a, ['cx', 'cy', 'rx', 'ry'], 0, ([cx, cy, rx, ry]) => ring(cx!, cy!, rx!, ry!)),
};

export interface PathData {
  readonly chains: readonly { readonly path: Path; readonly closed: boolean }[];
  /** What is wrong with the data, where something is: what came before it is kept. */
  readonly fault?: string;
  readonly segments: number;
}

/** Beyond this a coordinate is a slip or an attack, drawing units. */
const MOST = 1e9;

/**
 * Path data under the transforms of its element and of every group round it, innermost first, as chains of lines
 * and cubics. Arcs become cubics (within 3e-4 of their radius for a quarter circle). A part with coordinates
 * beyond 1e9 is left out.
 */
export function pathChains(data: string, transforms: readonly string[], frame: readonly number[]): PathData {
  // Arcs become cubics before they are mapped: mapped by a mirroring matrix, svgpath 2.6 bends some the wrong way.
  let curve = svgpath(data).abs().unshort().unarc();
  const fault = (curve as unknown as { err: string }).err;
  for (const transform of transforms) curve = curve.transform(transform);
  curve = curve
    .matrix([...frame])
    .abs()
    .unshort()
    .unarc();
  const chains: { path: Path; closed: boolean }[] = [];
  let segments: Segment[] = [];
  let from: Vec = [0, 0];
  let here: Vec = [0, 0];
  let count = 0;
  let wild = false;
  const finish = (closed: boolean) => {
    const sound = segments.every((s) =>
      (s.kind === 'line' ? [s.a, s.b] : [s.a, s.c, s.d, s.b]).every(isTame),
    );
    if (!sound) wild = true;
    else if (segments.length > 0) chains.push({ path: segments, closed });
    segments = [];
  };
  const add = (segment: Segment) => {
    const moves = segment.kind === 'cubic' ? [segment.c, segment.d, segment.b] : [segment.b];
    if (moves.some((p) => distance(p, segment.a) > 0) || !moves.every(isTame)) segments.push(segment);
    here = segment.b;
  };
  curve.iterate((segment) => {
    count += 1;
    const [command, ...v] = segment as unknown as [string, ...number[]];
    const at = (i: number): Vec => [v[i]!, v[i + 1]!];
    if (command === 'M') {
      finish(false);
      from = at(0);
      here = from;
    } else if (command === 'L') add(line(here, at(0)));
    else if (command === 'H') add(line(here, [v[0]!, here[1]]));
    else if (command === 'V') add(line(here, [here[0], v[0]!]));
    else if (command === 'C') add(cubic(here, at(0), at(2), at(4)));
    else if (command === 'Q') add(cubic(here, lerp(here, at(0), 2 / 3), lerp(at(2), at(0), 2 / 3), at(2)));
    else if (command === 'Z') {
      if (distance(here, from) > 0) add(line(here, from));
      finish(true);
      here = from;
    }
  });
  finish(false);
  const told = wild ? 'coordinates beyond all measure' : fault.replace(/^SvgPath: /, '');
  return { chains, segments: count, ...(told ? { fault: told } : {}) };
}

const isTame = ([x, y]: Vec): boolean => Math.abs(x) <= MOST && Math.abs(y) <= MOST;

/** Whether a transform attribute is one that is understood whole. */
export const isTransform = (text: string): boolean => {
  const number = '[-+]?(?:\\d+\\.?\\d*|\\.\\d+)(?:e[-+]?\\d+)?';
  const call = `(?:matrix|translate|scale|rotate|skewX|skewY)\\s*\\(\\s*${number}(?:[\\s,]+${number}){0,5}\\s*\\)`;
  return text.length < 10_000 && new RegExp(`^\\s*(?:${call}[\\s,]*)*$`, 'i').test(text);
};

function ring(cx: number, cy: number, rx: number, ry: number): string | undefined {
  if (rx <= 0 || ry <= 0) return undefined;
  return `M${cx + rx} ${cy}A${rx} ${ry} 0 0 1 ${cx - rx} ${cy}A${rx} ${ry} 0 0 1 ${cx + rx} ${cy}Z`;
}

function pointsData(text: string | undefined): string | undefined {
  const values = (text ?? '').trim().split(/[\s,]+/);
  if (values.length < 4 || values.some((v) => !isNumber(v))) return undefined;
  return `M${values.slice(0, values.length - (values.length % 2)).join(' ')}`;
}

function numbers(
  attributes: Attributes,
  names: readonly string[],
  missing: number,
  use: (values: readonly number[]) => string | undefined,
): string | undefined {
  const values = names.map((name) => {
    const text = attributes[name];
    if (text === undefined || text === 'auto') return missing;
    const plain = text.trim().replace(/px$/i, '');
    return isNumber(plain) ? Number(plain) : Number.NaN;
  });
  return values.every(Number.isFinite) ? use(values) : undefined;
}

const isNumber = (text: string): boolean => /^[-+]?(?:\d+\.?\d*|\.\d+)(?:e[-+]?\d+)?$/i.test(text);
