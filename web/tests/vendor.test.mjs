// What was made by others is here as it was taken, and nothing else is.
import { test } from 'node:test';
import assert from 'node:assert/strict';
import { createHash } from 'node:crypto';
import { readFileSync, readdirSync } from 'node:fs';

const folder = new URL('../vendor/', import.meta.url);

test('every vendored file has the SHA-256 that is written down, and none is missing', () => {
  const kept = readFileSync(new URL('VENDORED.toml', folder), 'utf8');
  const written = [...kept.matchAll(/^"(.+)" = "([0-9a-f]{64})"$/gm)].map(([, name, sum]) => [name, sum]);
  const found = readdirSync(folder, { recursive: true, withFileTypes: true })
    .filter((entry) => entry.isFile() && entry.name !== 'VENDORED.toml')
    .map((entry) => `${entry.parentPath ?? entry.path}/${entry.name}`.split('/vendor/')[1].replace(/^\/+/, ''))
    .map((name) => [name, createHash('sha256').update(readFileSync(new URL(name, folder))).digest('hex')]);
  assert.ok(found.length > 2);
  assert.deepEqual(found.sort(), written.sort());
});
