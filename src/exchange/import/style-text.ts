import { Document, type Node, Pair, Scalar, type YAMLMap, type YAMLSeq } from 'yaml';
import type { Path } from '../../geometry/path.js';
import type { Vec } from '../../geometry/vec.js';
import { type Edge, type Pattern, type Piece, pointsOf, type Seam } from '../../pattern/model.js';
import { toUnit, type Unit } from '../../units.js';

/** Moves of one point by size, mm against the base. */
export interface PointMoves {
  readonly piece: string;
  readonly point: string;
  readonly bySize: readonly (readonly [size: string, move: Vec])[];
}

export interface StyleParts {
  readonly name: string;
  readonly unit: Unit;
  /** Its pieces and seams; measures follow from names. */
  readonly pattern: Pattern;
  readonly sizes: readonly string[];
  readonly base: string;
  readonly rules: readonly PointMoves[];
  /** Allowances by edge or piece.edge, mm. */
  readonly allowances?: { readonly default?: number; readonly edges: Readonly<Record<string, number>> };
  /** Lines at the head, as comments. */
  readonly comments: readonly string[];
}

/** Decimals that keep a coordinate to a ten-thousandth of a millimetre or better. */
const DECIMALS: Readonly<Record<Unit, number>> = { mm: 4, cm: 5, in: 6 };

/** A style file that carries its pieces, as YAML. The same parts give the same text. */
export function styleText(parts: StyleParts): string {
  const write = new Writer(parts.unit);
  const document = new Document({
    style: parts.name,
    units: parts.unit,
    block: {
      pieces: parts.pattern.pieces.map((piece) => write.piece(piece)),
      ...(parts.pattern.seams.length > 0
        ? { seams: parts.pattern.seams.map((seam) => write.seam(seam)) }
        : {}),
    },
    alter: [],
    grade: write.grade(parts),
    ...(hasAllowances(parts) ? { finish: write.finish(parts.allowances!) } : {}),
  });
  document.commentBefore = parts.comments.map((line) => ` ${line.replace(/[\r\n]+/g, ' ')}`).join('\n');
  for (const path of [['block'], ['alter'], ['grade']]) spaceBefore(document, path);
  flowSmall(document.contents);
  return document.toString({ lineWidth: 0, flowCollectionPadding: true });
}

const hasAllowances = ({ allowances }: StyleParts): boolean =>
  allowances !== undefined && (allowances.default !== undefined || Object.keys(allowances.edges).length > 0);

class Writer {
  readonly #unit: Unit;

  constructor(unit: Unit) {
    this.#unit = unit;
  }

  number(mm: number): number {
    const value = Number(toUnit(mm, this.#unit).toFixed(DECIMALS[this.#unit]));
    return value === 0 ? 0 : value;
  }

  vec = ([x, y]: Vec): [number, number] => [this.number(x), this.number(y)];

  piece(piece: Piece) {
    const points = pointsOf(piece);
    return {
      name: piece.name,
      fabric: piece.fabric,
      counts: { 'as-drawn': piece.counts.asDrawn, mirrored: piece.counts.mirrored },
      points: Object.fromEntries([...points].map(([name, at]) => [name, this.vec(at)])),
      edges: piece.edges.map((edge) => this.edge(edge)),
      ...(piece.fold === undefined ? {} : { fold: piece.fold }),
      grain: [this.vec(piece.grain.from), this.vec(piece.grain.to)],
      ...(piece.stretch ? { stretch: piece.stretch } : {}),
      ...(piece.notches.length === 0
        ? {}
        : {
            notches: piece.notches.map(({ name, edge, at, kind }) => ({
              name,
              edge,
              at: 'length' in at ? this.number(at.length) : `${Number((at.ratio * 100).toFixed(4))}%`,
              ...(kind === 'double' ? { kind } : {}),
            })),
          }),
      ...(piece.internals
        ? {
            internals: piece.internals.map(({ name, path }) => ({
              name,
              from: this.vec(path[0]!.a),
              path: this.#steps(path, () => undefined),
            })),
          }
        : {}),
    };
  }

  edge(edge: Edge) {
    const marks = new Map(Object.entries(edge.marks ?? {}).map(([name, node]) => [node, name]));
    const straight = edge.path.length === 1 && edge.path[0]!.kind === 'line';
    const steps = this.#steps(edge.path, (node) => marks.get(node));
    const last = steps[steps.length - 1]!;
    // The edge ends at its own point: a last line adds nothing, a last curve needs no end.
    if (Array.isArray(last)) steps.pop();
    else if (typeof last === 'object') delete (last as { to?: unknown }).to;
    return {
      name: edge.name,
      to: edge.to,
      ...(straight || steps.length === 0 ? {} : { path: steps }),
      ...(edge.pointed ? { pointed: true } : {}),
    };
  }

  #steps(path: Path, nameOf: (node: number) => string | undefined): unknown[] {
    return path.map((s, i) => {
      const to = nameOf(i + 1) ?? this.vec(s.b);
      return s.kind === 'line' ? to : { curve: [this.vec(s.c), this.vec(s.d)], to };
    });
  }

  seam({ name, left, right, ratio, plus, tolerance, easeUpTo }: Seam) {
    const uses = (list: Seam['left']) => {
      const words = list.map((u) => `${u.times === 1 ? '' : `${u.times} x `}${u.piece}.${u.edge}`);
      return words.length === 1 ? words[0]! : words;
    };
    return {
      name,
      left: uses(left),
      right: uses(right),
      ...(ratio === 1 ? {} : { ratio }),
      ...(plus === 0 ? {} : { ease: this.number(plus) }),
      tolerance: this.number(tolerance),
      ...(easeUpTo === undefined ? {} : { 'ease-up-to': this.number(easeUpTo) }),
    };
  }

  grade({ sizes, base, rules }: StyleParts) {
    return {
      sizes: [...sizes],
      base,
      ...(rules.length === 0
        ? {}
        : {
            rules: Object.fromEntries(
              rules.map(({ piece, point, bySize }) => [
                `${piece}.${point}`,
                { moves: Object.fromEntries(bySize.map(([size, move]) => [size, this.vec(move)])) },
              ]),
            ),
          }),
    };
  }

  finish({ default: all, edges }: NonNullable<StyleParts['allowances']>) {
    return {
      allowances: {
        ...(all === undefined ? {} : { default: this.number(all) }),
        ...(Object.keys(edges).length === 0
          ? {}
          : { edges: Object.fromEntries(Object.entries(edges).map(([k, mm]) => [k, this.number(mm)])) }),
      },
    };
  }
}

/** Lists and maps whose text is short stand on one line. */
const SHORT = 100;

function flowSmall(node: unknown): number {
  if (node instanceof Scalar) return String(node.value).length + 2;
  if (node instanceof Pair) return flowSmall(node.key) + flowSmall(node.value) + 2;
  const items = (node as YAMLMap | YAMLSeq | null)?.items;
  if (!items) return String((node as Node | string | null) ?? '').length;
  const size = items.reduce((sum: number, item: unknown) => sum + flowSmall(item) + 2, 2);
  if (size <= SHORT) (node as YAMLMap).flow = true;
  return size;
}

function spaceBefore(document: Document, path: readonly string[]): void {
  const map = document.contents as unknown as YAMLMap | null;
  const pair = map?.items.find(
    (p) => (p.key as Scalar | string) === path[0] || (p.key as Scalar)?.value === path[0],
  );
  const key = pair?.key;
  if (key instanceof Scalar) key.spaceBefore = true;
}
