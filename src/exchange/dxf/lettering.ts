/** Text beyond this is no label; what follows is cut off. */
const LONGEST_TEXT = 4096;

const SIGNS: Readonly<Record<string, string>> = { d: '°', p: '±', c: 'Ø', u: '', o: '', k: '' };

/** TEXT as it reads: `%%` codes, `^` codes and `\U+` characters of the DXF reference resolved. */
export const plainText = (raw: string): string =>
  raw
    .slice(0, LONGEST_TEXT)
    .replace(/%%(%|\d{3}|[dpcuok])/gi, (_, code: string) =>
      code === '%' ? '%' : (SIGNS[code.toLowerCase()] ?? String.fromCharCode(Number(code))),
    )
    .replace(/\\U\+([0-9a-f]{4})/gi, (_, hex: string) => String.fromCharCode(Number.parseInt(hex, 16)))
    .replace(/\^(.)/g, (_, sign: string) => (sign === ' ' ? '^' : ' '))
    .trim();

/** MTEXT as it reads, lines joined by `\n`: its format codes are taken out. One pass. */
export function plainMtext(raw: string): string {
  const text = raw.slice(0, LONGEST_TEXT);
  const lastStop = text.lastIndexOf(';');
  let out = '';
  for (let i = 0; i < text.length; i++) {
    const c = text[i]!;
    if (c === '{' || c === '}') continue;
    if (c !== '\\') {
      out += c;
      continue;
    }
    const code = text[++i] ?? '';
    if (code === 'P' || code === 'X') out += '\n';
    else if (code === '~') out += ' ';
    else if ('\\{}'.includes(code)) out += code;
    else if (code === 'U' && text[i + 1] === '+') {
      out += `\\U${text.slice(i + 1, i + 6)}`;
      i += 5;
    } else if ('ACcFfHQTWpS'.includes(code) && i < lastStop) {
      const stop = text.indexOf(';', i);
      if (code === 'S') out += text.slice(i + 1, stop).replace(/[\^#]/, '/');
      i = stop;
    }
  }
  return out
    .split('\n')
    .map((line) => plainText(line))
    .join('\n')
    .trim();
}
