import { Buffer, isAscii } from 'node:buffer';
import { InputError } from '../../errors.js';

export interface Decoded {
  readonly text: string;
  /** As a name of the WHATWG encoding standard. */
  readonly encoding: string;
  /** What a careful reader should know about the decoding. */
  readonly note?: string;
}

/** Beginnings of files that are no text, and how to come from them to a DXF. */
const DISGUISES: readonly (readonly [magic: string, what: string, mend: string])[] = [
  [
    'AutoCAD Binary DXF',
    'a binary DXF',
    'save it again as DXF in text form: choose ASCII, not binary, in the options of the saving program',
  ],
  ['AC10', 'a DWG drawing', 'save it as DXF (ASCII) in the program that made it'],
  ['PK\u0003\u0004', 'a zip archive', 'unpack it and give the DXF inside'],
  ['PK\u0005\u0006', 'an empty zip archive', 'ask for the file again'],
  ['\u001f\u008b', 'a gzip archive', 'unpack it and give the DXF inside'],
  ['7z\u00bc\u00af', 'a 7z archive', 'unpack it and give the DXF inside'],
  ['Rar!', 'a rar archive', 'unpack it and give the DXF inside'],
  ['%PDF', 'a PDF', 'export the pattern as DXF; a PDF carries no layers that can be relied on'],
  ['%!PS', 'a PostScript file', 'export the pattern as DXF'],
  ['\u0089PNG', 'a PNG picture', 'export the pattern as DXF; a picture has no outlines'],
  ['\u00ff\u00d8\u00ff', 'a JPEG picture', 'export the pattern as DXF; a picture has no outlines'],
  ['GIF8', 'a GIF picture', 'export the pattern as DXF; a picture has no outlines'],
  ['<?xml', 'an XML file (SVG?)', 'give it the ending .svg if it is an SVG, or export the pattern as DXF'],
  ['<svg', 'an SVG drawing', 'give it the ending .svg'],
  ['<!DOCTYPE', 'a web page or SVG', 'download the file itself, not the page that shows it'],
  ['<html', 'a web page', 'download the file itself, not the page that shows it'],
];

/** `$DWGCODEPAGE` values whose encoding is not `windows-` and the number. */
const CODE_PAGES: Readonly<Record<string, string>> = {
  '874': 'windows-874',
  '932': 'shift_jis',
  '936': 'gbk',
  '949': 'euc-kr',
  '950': 'big5',
};

/** The code page stands in the header; no header of a writer known here is longer than this. */
const HEAD_BYTES = 65_536;

/**
 * Bytes of a DXF as text. A byte order mark decides; text that is valid UTF-8 is taken as UTF-8 (other
 * encodings all but never are, once they leave ASCII); else `$DWGCODEPAGE`, else windows-1252.
 *
 * @throws InputError for an empty file and for a file of another kind, naming the kind.
 */
export function decodeDxf(bytes: Uint8Array, file: string): Decoded {
  if (bytes.length === 0) throw refused(file, 'the file is empty', 'ask for the file again');
  const buffer = Buffer.from(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  if (bytes[0] === 0xff && bytes[1] === 0xfe) return decoded(bytes, 'utf-16le');
  if (bytes[0] === 0xfe && bytes[1] === 0xff) return decoded(bytes, 'utf-16be');
  const beginning = buffer.toString('latin1', 0, 64).replace(/^\u00ef\u00bb\u00bf/, '');
  for (const [magic, what, mend] of DISGUISES) {
    if (beginning.trimStart().toLowerCase().startsWith(magic.toLowerCase())) {
      throw refused(file, `the file is ${what}, not a DXF in text form`, mend);
    }
  }
  if (buffer.subarray(0, HEAD_BYTES).includes(0)) {
    throw refused(file, 'the file is not text: it has zero bytes', 'give a DXF saved in text form (ASCII)');
  }
  if (isAscii(buffer)) return { text: buffer.toString('latin1'), encoding: 'utf-8' };
  try {
    return decoded(bytes, 'utf-8');
  } catch {
    // Not UTF-8: an older code page.
  }
  const head = buffer.toString('latin1', 0, HEAD_BYTES);
  const page = /\$DWGCODEPAGE\s+3\s+(?:ANSI_|DOS)?(\d+)/i.exec(head)?.[1];
  const encoding = page === undefined ? 'windows-1252' : (CODE_PAGES[page] ?? `windows-${page}`);
  try {
    return { ...decoded(bytes, encoding, false), ...(page === undefined ? { note: GUESSED } : {}) };
  } catch {
    return { ...decoded(bytes, 'windows-1252', false), note: `${GUESSED} ('${page}' is not known)` };
  }
}

const GUESSED = 'letters outside ASCII were read as windows-1252: the file does not say its code page';

/** A mark at the front is taken off; a character that the end of the file cuts through is left out. */
const decoded = (bytes: Uint8Array, encoding: string, fatal = true): Decoded => ({
  text: new TextDecoder(encoding, { fatal }).decode(bytes, { stream: true }),
  encoding,
});

const refused = (file: string, message: string, mend: string): InputError =>
  new InputError(message, { mend, place: { file } });
