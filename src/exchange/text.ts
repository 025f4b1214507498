// biome-ignore lint/suspicious/noControlCharactersInRegex: control characters are what is taken out.
const CONTROL = /[\u0000-\u001f\u007f-\u009f\u2028\u2029\ufffe\uffff]+|[\ud800-\udbff](?![\udc00-\udfff])/g;
const LONE_LOW_SURROGATE = /(?<![\ud800-\udbff])[\udc00-\udfff]/g;

/** One line of plain text: control characters, line breaks and broken surrogates become spaces. */
export const oneLine = (text: string): string =>
  text.replace(CONTROL, ' ').replace(LONE_LOW_SURROGATE, ' ').replace(/ {2,}/g, ' ').trim();

const ENTITIES: Readonly<Record<string, string>> = {
  '&': '&amp;',
  '<': '&lt;',
  '>': '&gt;',
  '"': '&quot;',
  "'": '&#39;',
};

/** Text safe inside elements and quoted attributes of XML and HTML. */
export const escapeXml = (text: string): string =>
  oneLine(text).replace(/[&<>"']/g, (character) => ENTITIES[character]!);

/**
 * Text safe as a DXF string: `^` starts a control character and `%%` a code there, so both are written apart
 * (DXF reference, group code value types and text control codes).
 */
export const dxfText = (text: string): string =>
  oneLine(text)
    .replaceAll('^', '^ ')
    .replace(/%(?=%)/g, '% ');

/** A name safe as a file name on every common system, in small letters. */
export const fileName = (text: string): string => fileStem(text).toLowerCase();

/** The same with its capitals: for names that are told apart by them, as sizes in a marker's name are. */
export const fileStem = (text: string): string =>
  oneLine(text)
    .normalize('NFC')
    .replace(/[^\p{L}\p{N}.-]+/gu, '-')
    .replace(/^[-.]+|[-.]+$/g, '') || 'unnamed';

export const plural = (n: number, noun: string, many = `${noun}s`): string => `${n} ${n === 1 ? noun : many}`;

const MM_PER_METRE = 1000;
const MM_PER_YARD = 914.4;

/** A length of cloth or of a cut, mm, as `3.214 m (3.515 yd)`. */
export const metresAndYards = (mm: number): string =>
  `${(mm / MM_PER_METRE).toFixed(3)} m (${(mm / MM_PER_YARD).toFixed(3)} yd)`;
