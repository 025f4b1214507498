import { SaxesParser } from 'saxes';
import { InputError } from '../../errors.js';
import { start } from '../../geometry/path.js';
import type { Vec } from '../../geometry/vec.js';
import { Drops } from '../dxf/limits.js';
import { LAYERS } from '../layers.js';
import type { Drawing, Lettering, Stroke } from './drawing.js';
import { type Attributes, isTransform, pathChains, SHAPES } from './svg-shapes.js';
import { decodeSvg } from './svg-text.js';
import { type RootFrame, rootFrame } from './svg-units.js';
import { type Shown, shownByUses, useTarget } from './svg-uses.js';

/** How much a drawing may hold. */
export const SVG_LIMITS = {
  elements: 500_000,
  segments: 3_000_000,
  depth: 256,
  entities: 64,
  /** What `<use>` elements show, nested ones too: how often, and in characters. */
  uses: 20_000,
  shown: 50_000_000,
} as const;

/** Elements whose content is not drawn where it stands, or not at all. */
const NOT_DRAWN = new Set([
  ...[
    'defs',
    'symbol',
    'clipPath',
    'mask',
    'marker',
    'pattern',
    'filter',
    'linearGradient',
    'radialGradient',
  ],
  ...['metadata', 'desc', 'style', 'script', 'foreignObject', 'image', 'font', 'animate', 'animateTransform'],
]);
/** Of these the user should hear. */
const TOLD = new Set(['clipPath', 'mask', 'script', 'foreignObject', 'image', 'animate', 'animateTransform']);
const CONTAINERS = new Set(['svg', 'g', 'a', 'switch', 'symbol']);
const OWN_LAYERS: ReadonlySet<string> = new Set(LAYERS.map((l) => l.name));
/** Names that drawing programs make up. */
const MADE_UP =
  /^(?:path|rect|g|group|polygon|polyline|line|circle|ellipse|svg|layer|use|text|tspan|shape|curve|object|xmlid|_)[-_]?[\da-f_-]*$/i;

interface Level {
  readonly tag: string;
  readonly hidden: boolean;
  readonly transforms: readonly string[];
  readonly layer: string;
  readonly name: string | undefined;
  /** Our own drawings tell what a line is for by its class. */
  readonly role: string | undefined;
}

/**
 * Reads an SVG drawing: paths and basic shapes of all groups, with their transforms and the scale of the root
 * element, and texts; what is shown by `<use>` is read where it is shown. What is hidden or only defined is not drawn
 * and so not read; what is dropped is counted. y is turned up.
 *
 * @throws InputError with line and column where the file is no XML, breaks off, defines entities of entities, has a
 *   transform that cannot be read, or is beyond the limits.
 */
export function readSvg(bytes: Uint8Array, file: string): Drawing {
  return new SvgReader(decodeSvg(bytes, file), file).read();
}

class SvgReader {
  readonly #file: string;
  readonly #text: string;
  readonly #parser = new SaxesParser({ position: true });
  readonly #drops = new Drops();
  readonly #levels: Level[] = [];
  readonly #strokes: Stroke[] = [];
  readonly #texts: Lettering[] = [];
  #root: RootFrame | undefined;
  #shown: Shown = new Map();
  /** Names of the elements that are being shown by a `<use>`, each inside the one before. */
  readonly #inUse: string[] = [];
  #showing = 0;
  #uses = 0;
  #elements = 0;
  #segments = 0;
  #line: { text: string; at: Vec; hasPlace: boolean } | undefined;

  constructor(text: string, file: string) {
    this.#text = text;
    this.#file = file;
  }

  read(): Drawing {
    const parser = this.#parser;
    parser.on('error', (error) => {
      throw this.#refused(
        `this is not well-formed XML: ${error.message.replace(/^.*?\d+:\d+: /, '')}`,
        'save the drawing again as plain SVG',
      );
    });
    parser.on('doctype', (doctype) => {
      this.#entities(doctype);
      this.#shown = shownByUses(this.#text, parser.ENTITIES);
    });
    this.#shown = shownByUses(this.#text, {});
    this.#listen(parser);
    parser.write(this.#text).close();
    const root = this.#root;
    if (!root)
      throw this.#refused(
        'the file is XML but no SVG: its first element is not <svg>',
        'give a drawing saved as SVG',
      );
    return {
      file: this.#file,
      strokes: this.#strokes,
      texts: this.#texts,
      dropped: this.#drops.list(),
      unit: root.unit,
      ...(root.hint === undefined ? {} : { hint: root.hint }),
    };
  }

  #listen(parser: SaxesParser): void {
    parser.on('opentag', ({ name, attributes }) => this.#open(local(name), attributes as Attributes));
    parser.on('closetag', ({ name }) => this.#close(local(name)));
    parser.on('text', (text) => {
      if (this.#line) this.#line.text += text;
    });
  }

  #open(tag: string, attributes: Attributes): void {
    this.#elements += 1;
    if (this.#elements > SVG_LIMITS.elements)
      throw this.#refused(
        `the drawing has more than ${SVG_LIMITS.elements} elements`,
        'export fewer pieces at a time',
      );
    if (this.#levels.length >= SVG_LIMITS.depth)
      throw this.#refused(
        `groups stand more than ${SVG_LIMITS.depth} deep in each other`,
        'ungroup the drawing',
      );
    const above = this.#levels.at(-1);
    if (!above) {
      if (tag === 'svg') this.#root = rootFrame(attributes, this.#file);
      else
        throw this.#refused(
          `the file is XML but no SVG: its first element is <${tag.slice(0, 40)}>`,
          'give a drawing saved as SVG',
        );
    }
    const hidden = this.#isHidden(tag, attributes, above);
    const label = attributes['inkscape:label'] ?? nameOf(attributes['id']);
    const transforms = hidden ? [] : [...this.#transforms(attributes, above), ...(above?.transforms ?? [])];
    const named = tag !== 'svg' && label !== undefined;
    const isGroup = tag === 'g';
    const level: Level = {
      tag,
      hidden,
      transforms,
      layer: isGroup && named ? label : (above?.layer ?? ''),
      name: named ? label : above?.name,
      role: OWN_LAYERS.has(attributes['class'] ?? '') ? attributes['class'] : above?.role,
    };
    this.#levels.push(level);
    if (hidden) return;
    const shape = SHAPES[tag];
    if (shape) this.#draw(tag, shape(attributes), level);
    else if (tag === 'text' || tag === 'tspan') this.#letter(tag, attributes, level);
    else if (tag === 'use') this.#use(attributes, level);
    else if (tag === 'svg' && above)
      this.#drops.add(
        'the frame of an <svg> inside the drawing; its content is kept as it lies',
        this.#where(),
      );
    else if (!CONTAINERS.has(tag) && tag !== 'title' && !tag.includes(':'))
      this.#drops.add(`<${tag.slice(0, 40)}>`, this.#where());
  }

  /** What a `<use>` shows is read again where it stands, in lines of the `<use>`. */
  #use(attributes: Attributes, level: Level): void {
    const id = useTarget(attributes);
    const content = id === undefined ? undefined : this.#shown.get(id);
    if (id === undefined || content === undefined || this.#inUse.includes(id)) {
      const target = attributes['href'] ?? attributes['xlink:href'] ?? 'nothing';
      const why = id !== undefined && this.#inUse.includes(id) ? ', which shows itself' : '';
      this.#drops.add(`<use> of ${target.slice(0, 40)}${why}`, this.#where());
      return;
    }
    const [x, y] = ['x', 'y'].map((k) => Number.parseFloat(attributes[k] ?? '0'));
    const by = `translate(${Number.isFinite(x) ? x : 0} ${Number.isFinite(y) ? y : 0})`;
    this.#levels.push({ ...level, transforms: [by, ...level.transforms] });
    this.#showing += content.length;
    this.#uses += 1;
    if (this.#uses > SVG_LIMITS.uses || this.#showing > SVG_LIMITS.shown)
      throw this.#refused('its <use> elements show too much', 'expand the symbols in the drawing program');
    this.#inUse.push(id);
    const parser = new SaxesParser({ fragment: true });
    Object.assign(parser.ENTITIES, this.#parser.ENTITIES);
    this.#listen(parser);
    parser.write(content).close();
    this.#inUse.pop();
    this.#levels.pop();
  }

  #close(tag: string): void {
    if (tag === 'text') this.#finishLine();
    this.#levels.pop();
  }

  #isHidden(tag: string, attributes: Attributes, above: Level | undefined): boolean {
    if (above?.hidden) return true;
    if (tag === 'symbol' && above?.tag === 'use') {
      if (attributes['viewBox'] === undefined) return false;
      this.#drops.add('<symbol> with a frame of its own (viewBox)', this.#where());
      return true;
    }
    if (NOT_DRAWN.has(tag)) {
      if (TOLD.has(tag)) {
        this.#drops.add(`<${tag}>`, this.#where());
      }
      return true;
    }
    const style = attributes['style'] ?? '';
    const off =
      attributes['display'] === 'none' ||
      attributes['visibility'] === 'hidden' ||
      /(?:^|;)\s*(?:display\s*:\s*none|visibility\s*:\s*hidden)/.test(style);
    if (off) this.#drops.add('hidden elements', this.#where());
    return off;
  }

  #transforms(attributes: Attributes, above: Level | undefined): string[] {
    const style = attributes['style'] ?? '';
    if (/(?:^|;)\s*transform\s*:/.test(style)) {
      throw this.#refused(
        'a transform is set in a style, where it is not read',
        'save the drawing as plain SVG, with transforms as attributes',
      );
    }
    const transform = attributes['transform'];
    if (transform === undefined || transform.trim() === '' || !above) return [];
    if (isTransform(transform)) return [transform];
    throw this.#refused(
      `the transform '${transform.slice(0, 60)}' cannot be read`,
      'apply the transforms in the drawing program and save again',
    );
  }

  #draw(tag: string, data: string | undefined, level: Level): void {
    const where = this.#where();
    if (data === undefined || data.trim() === '') {
      this.#drops.add(`<${tag}> without a size or with a number that cannot be read`, where);
      return;
    }
    const { chains, fault, segments } = pathChains(data, level.transforms, this.#frame());
    this.#segments += segments;
    if (this.#segments > SVG_LIMITS.segments)
      throw this.#refused(
        `the drawing has more than ${SVG_LIMITS.segments} line segments`,
        'export fewer pieces at a time',
      );
    if (fault !== undefined) this.#drops.add(`part of a <${tag}>: ${fault}`, where);
    for (const { path, closed } of chains) {
      this.#strokes.push({
        path,
        closed,
        layer: level.role ?? level.layer,
        where,
        ...(level.name === undefined ? {} : { name: level.name }),
      });
    }
  }

  /** Turns y up and takes the origin of the viewBox off. */
  #frame(): readonly number[] {
    const { scaleX, scaleY, minX, minY } = this.#root!;
    return [scaleX, 0, 0, -scaleY, -minX * scaleX, minY * scaleY];
  }

  #letter(tag: string, attributes: Attributes, level: Level): void {
    const place = ['x', 'y'].map((k) => Number.parseFloat(attributes[k] ?? 'none'));
    const [x = Number.NaN, y = Number.NaN] = place;
    if (tag === 'text') {
      this.#finishLine();
      this.#line = {
        text: '',
        at: this.#placed(Number.isNaN(x) ? 0 : x, Number.isNaN(y) ? 0 : y, level),
        hasPlace: true,
      };
      return;
    }
    // A tspan with a place of its own is a line of its own.
    if (!this.#line || (Number.isNaN(x) && Number.isNaN(y))) return;
    const before = this.#line.at;
    this.#finishLine();
    const at = Number.isNaN(x) || Number.isNaN(y) ? before : this.#placed(x, y, level);
    this.#line = { text: '', at, hasPlace: true };
  }

  #placed(x: number, y: number, level: Level): Vec {
    const chain = pathChains(`M${x} ${y}l1 0`, level.transforms, this.#frame()).chains[0];
    return chain ? start(chain.path) : [0, 0];
  }

  #finishLine(): void {
    const line = this.#line;
    this.#line = undefined;
    const text = line?.text.replace(/\s+/g, ' ').trim();
    if (!line || !text) return;
    this.#texts.push({
      text: text.slice(0, 500),
      at: line.at,
      layer: this.#levels.at(-1)?.layer ?? '',
      where: this.#where(),
    });
  }

  /** Entities that stand for plain text are known from then on; those of entities, or from outside, are refused. */
  #entities(doctype: string): void {
    if (!doctype.includes('<!ENTITY')) return;
    const plain = /<!ENTITY\s+([\w.:-]+)\s+(?:"([^"&%]{0,1000})"|'([^'&%]{0,1000})')\s*>/g;
    const defined = [...doctype.matchAll(plain)];
    if (defined.length !== doctype.split('<!ENTITY').length - 1 || defined.length > SVG_LIMITS.entities) {
      throw this.#refused(
        'the file defines entities in terms of others or of other files',
        'save the drawing as plain SVG',
      );
    }
    for (const [, name = '', double, single] of defined) this.#parser.ENTITIES[name] = double ?? single ?? '';
  }

  #where(): string {
    return `line ${this.#parser.line}`;
  }

  #refused(message: string, mend: string): InputError {
    const { line, column } = this.#parser;
    return new InputError(message, { mend, place: { file: this.#file, line, column } });
  }
}

/** The tag without its prefix, when that is the one SVG files use. */
const local = (tag: string): string => tag.replace(/^svg:/, '');

const nameOf = (id: string | undefined): string | undefined =>
  id === undefined || MADE_UP.test(id) ? undefined : id;
