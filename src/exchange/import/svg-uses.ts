import { SaxesParser } from 'saxes';

/** The elements that `<use>` elements show, as text, by id. */
export type Shown = ReadonlyMap<string, string>;

/** What a `<use>` names, without the `#`; undefined where it names another file or nothing. */
export function useTarget(attributes: Readonly<Record<string, string>>): string | undefined {
  const target = attributes['href'] ?? attributes['xlink:href'];
  return target?.startsWith('#') && target.length > 1 ? target.slice(1) : undefined;
}

/**
 * Finds what the `<use>` elements of a drawing show, wherever it stands. A fault of the file ends the search: whoever
 * reads the drawing itself meets it again and tells where.
 */
export function shownByUses(text: string, entities: Readonly<Record<string, string>>): Shown {
  const shown = new Map<string, string>();
  if (!/<(?:svg:)?use\b/.test(text)) return shown;
  const wanted = new Set([...text.matchAll(/href\s*=\s*["']#([^"']+)["']/g)].map((m) => m[1]!));
  const parser = new SaxesParser({ position: true });
  Object.assign(parser.ENTITIES, entities);
  const open: { id: string | undefined; from: number }[] = [];
  let broken = false;
  parser.on('error', () => {
    broken = true;
  });
  parser.on('opentag', ({ attributes }) => {
    const id = (attributes as Record<string, string>)['id'];
    // No '<' stands inside a tag of well-formed XML.
    open.push({ id, from: text.lastIndexOf('<', parser.position - 1) });
  });
  parser.on('closetag', () => {
    const element = open.pop();
    if (broken || element?.id === undefined || !wanted.has(element.id) || shown.has(element.id)) return;
    shown.set(element.id, text.slice(element.from, parser.position));
  });
  parser.write(text).close();
  return broken ? new Map() : shown;
}
