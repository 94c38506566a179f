// Starts the real program on pieces of its own, and stops it.
import { spawn } from 'node:child_process';
import { existsSync, mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';

const ROOT = new URL('../../', import.meta.url).pathname;
const PROGRAM = process.env.FELLMARK ?? join(ROOT, 'target/debug/fellmark');

/**
 * Where it is, where a browser enters, and how it is stopped. FELLMARK_ASSETS names a folder to take the page from
 * while it is worked on; without it the page is the one built into the program. `data` are the pieces of an earlier one,
 * whose `keep` left them there. What more is given is told the program.
 */
export async function start({ data = mkdtempSync(join(tmpdir(), 'fellmark-page-')), keep = false, more = [] } = {}) {
  if (!existsSync(PROGRAM)) throw new Error(`There is no ${PROGRAM}. Type: cargo build -p fellmark`);
  const assets = process.env.FELLMARK_ASSETS ? ['--assets', process.env.FELLMARK_ASSETS] : [];
  const child = spawn(PROGRAM, ['open', '--no-browser', '--data', data, ...assets, ...more], { stdio: ['ignore', 'pipe', 'pipe'] });
  // Even where a test forgets to stop it, or dies.
  process.once('exit', () => child.kill());
  let said = '';
  const enter = await new Promise((resolve, reject) => {
    const hear = (chunk) => {
      said += chunk;
      const found = /http:\/\/\S+/.exec(said);
      if (found) resolve(found[0]);
    };
    child.stdout.on('data', hear);
    child.stderr.on('data', hear);
    child.on('exit', () => reject(new Error(`The program did not start: ${said}`)));
  });
  child.unref();
  child.stdout.unref?.();
  child.stderr.unref?.();
  return {
    data,
    enter,
    url: new URL(enter).origin,
    async stop() {
      if (child.exitCode === null && child.signalCode === null) {
        const gone = new Promise((done) => child.on('exit', done));
        child.kill('SIGINT');
        await gone;
      }
      if (!keep) rmSync(data, { recursive: true, force: true });
    },
  };
}
