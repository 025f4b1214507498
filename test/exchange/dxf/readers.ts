import { execFileSync } from 'node:child_process';
import { existsSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { Worker } from 'node:worker_threads';
import type { Vec } from '../../../src/geometry/vec.js';
import type { ReadDxf } from '../dxf-read.js';
import { hasTool, PYTHON, run, withFile } from '../tools.js';

/** Independent readers of a DXF, each asked from outside the process of the test or under a limit of time. */

export interface Audit {
  readonly version: string;
  readonly errors: number;
  readonly fixes: readonly string[];
  readonly layers: readonly string[];
  /** Entities by `layer TYPE`, in the drawing itself and in each block. */
  readonly counts: Readonly<Record<string, Readonly<Record<string, number>>>>;
  /** Vertices of every polyline, by block and layer, in order. */
  readonly polylines: readonly {
    readonly block: string;
    readonly layer: string;
    readonly closed: boolean;
    readonly points: readonly Vec[];
  }[];
  readonly texts: readonly string[];
  readonly extent: readonly number[];
}

const SCRIPT = `
import ezdxf, json, sys
doc = ezdxf.readfile(sys.argv[1])
audit = doc.audit()
out = {"version": "", "errors": len(audit.errors), "fixes": [e.message for e in audit.fixes],
       "layers": sorted(l.dxf.name for l in doc.layers), "counts": {}, "polylines": [], "texts": [],
       "extent": list(doc.header["$EXTMIN"])[:2] + list(doc.header["$EXTMAX"])[:2]}
with open(sys.argv[1], encoding="utf-8") as f:
    lines = f.read().splitlines()
out["version"] = lines[lines.index("$ACADVER") + 2]
spaces = [("", doc.modelspace())] + [(b.name, b) for b in doc.blocks if b.name[0] not in "*_"]
for name, space in spaces:
    count = out["counts"].setdefault(name, {})
    for e in space:
        key = e.dxf.layer + " " + e.dxftype()
        count[key] = count.get(key, 0) + 1
        if e.dxftype() == "POLYLINE":
            points = [[v.dxf.location.x, v.dxf.location.y] for v in e.vertices]
            out["polylines"].append({"block": name, "layer": e.dxf.layer, "closed": bool(e.is_closed), "points": points})
        if e.dxftype() == "TEXT":
            out["texts"].append(e.dxf.text)
print(json.dumps(out))`;

/** What ezdxf (another language, another author) finds in a file. */
export const ezdxf = (text: string): Audit =>
  JSON.parse(withFile('drawing.dxf', text, (path) => run(PYTHON, ['-c', SCRIPT, path]))) as Audit;

/** What dxf-parser finds; it loops for ever on some faults, so it gets a thread that can be stopped. */
export function dxfParser(text: string, milliseconds = 20_000): Promise<ReadDxf> {
  const code = `
    const { parentPort, workerData } = require('node:worker_threads');
    const Parser = require('dxf-parser');
    parentPort.postMessage(new (Parser.default ?? Parser)().parseSync(workerData));`;
  return new Promise((resolve, reject) => {
    const worker = new Worker(code, { eval: true, workerData: text });
    const timer = setTimeout(() => {
      void worker.terminate();
      reject(new Error('dxf-parser did not come to an end'));
    }, milliseconds);
    worker.once('message', (found: ReadDxf) => {
      clearTimeout(timer);
      resolve(found);
    });
    worker.once('error', (error) => {
      clearTimeout(timer);
      reject(error);
    });
  });
}

export const hasLibrecad = hasTool('librecad');

/** The PDF that LibreCAD's converter draws without a screen. */
export function librecadPdf(text: string): Buffer {
  const folder = mkdtempSync(join(tmpdir(), 'walewise-'));
  try {
    const file = join(folder, 'drawing.dxf');
    writeFileSync(file, text);
    execFileSync('librecad', ['dxf2pdf', '-a', file], {
      timeout: 60_000,
      stdio: 'ignore',
      cwd: folder,
      env: { ...process.env, QT_QPA_PLATFORM: 'offscreen', HOME: folder, XDG_RUNTIME_DIR: folder },
    });
    const pdf = join(folder, 'drawing.pdf');
    if (!existsSync(pdf)) throw new Error('LibreCAD drew nothing');
    return readFileSync(pdf);
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}
