import { SaxesParser } from 'saxes';

/** An element of a page with the text of all that is in it. */
export interface Element {
  readonly name: string;
  readonly attributes: Readonly<Record<string, string>>;
  readonly path: readonly string[];
  readonly text: string;
}

/** Elements whose text stands apart from what follows. */
const APART = new Set(
  'td th small br li p h1 h2 h3 dt dd caption figcaption title desc text svg div span'.split(' '),
);

/** Every element of a page that is well formed as XML; throws where it is not. */
export function elementsOf(html: string): Element[] {
  const parser = new SaxesParser();
  const open: { name: string; attributes: Record<string, string>; path: string[]; text: string }[] = [];
  const all: Element[] = [];
  parser.on('error', (error) => {
    throw error;
  });
  parser.on('opentag', ({ name, attributes }) => {
    if (name === 'small' || name === 'br') for (const outer of open) outer.text += ' ';
    open.push({
      name,
      attributes: attributes as Record<string, string>,
      path: open.map((e) => e.name),
      text: '',
    });
  });
  parser.on('text', (text) => {
    for (const element of open) element.text += text;
  });
  parser.on('closetag', () => {
    const element = open.pop()!;
    if (APART.has(element.name)) for (const outer of open) outer.text += ' ';
    all.push(element);
  });
  parser.write(html).close();
  return all;
}

/** Rows of the tables of a page, each a list of its cells' texts. */
export function tablesOf(html: string): string[][][] {
  return html
    .split('<table>')
    .slice(1)
    .map((part) => {
      const source = part.slice(0, part.indexOf('</table>'));
      return source
        .split('<tr')
        .slice(1)
        .map((row) =>
          elementsOf(`<tr${row.slice(0, row.indexOf('</tr>'))}</tr>`)
            .filter((e) => e.name === 'td' || e.name === 'th')
            .map((e) => e.text.trim()),
        );
    });
}
