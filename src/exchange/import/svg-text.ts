import { InputError } from '../../errors.js';

/** A drawing of the largest range has a few MB. */
export const MOST_BYTES = 64 * 1024 * 1024;

const DISGUISES: readonly (readonly [bytes: readonly number[], what: string, mend: string])[] = [
  [[0x1f, 0x8b], 'a compressed SVG (gzip)', 'save it as plain SVG, or unpack it'],
  [[0x50, 0x4b, 0x03, 0x04], 'a zip archive', 'unpack it and give the SVG inside'],
  [[0x89, 0x50, 0x4e, 0x47], 'a PNG picture', 'trace it into an SVG; a picture has no outlines'],
  [[0xff, 0xd8, 0xff], 'a JPEG picture', 'trace it into an SVG; a picture has no outlines'],
  [[0x25, 0x50, 0x44, 0x46], 'a PDF', 'export the drawing as SVG'],
];

/**
 * Bytes of an SVG as text: by its byte order mark, else by the encoding its XML declaration names, else UTF-8.
 *
 * @throws InputError for a file of another kind, an encoding that is not known, and bytes that do not fit it.
 */
export function decodeSvg(bytes: Uint8Array, file: string): string {
  const refused = (message: string, mend: string) => new InputError(message, { mend, place: { file } });
  if (bytes.length === 0) throw refused('the file is empty', 'export the drawing again');
  if (bytes.length > MOST_BYTES) {
    throw refused(
      `the SVG has ${Math.round(bytes.length / 2 ** 20)} MB; more than ${MOST_BYTES / 2 ** 20} MB are not read`,
      'export fewer pieces at a time',
    );
  }
  for (const [magic, what, mend] of DISGUISES) {
    if (magic.every((byte, i) => bytes[i] === byte)) throw refused(`the file is ${what}, not an SVG`, mend);
  }
  const encoding = encodingOf(bytes);
  let text: string;
  try {
    text = new TextDecoder(encoding, { fatal: true }).decode(bytes);
  } catch {
    throw refused(`the file is not text in ${encoding}, which it should be`, 'save it as plain SVG in UTF-8');
  }
  if (text.includes('\u0000'))
    throw refused('the file is not text: it has zero bytes', 'save it as plain SVG in UTF-8');
  // saxes reads on from what the decoder made of the bytes: the declared encoding no longer matters.
  return text;
}

function encodingOf(bytes: Uint8Array): string {
  if (bytes[0] === 0xff && bytes[1] === 0xfe) return 'utf-16le';
  if (bytes[0] === 0xfe && bytes[1] === 0xff) return 'utf-16be';
  const head = new TextDecoder('latin1').decode(bytes.subarray(0, 200));
  return /^\s*<\?xml[^>]*\sencoding\s*=\s*["']([\w.:-]+)["']/.exec(head)?.[1]?.toLowerCase() ?? 'utf-8';
}
