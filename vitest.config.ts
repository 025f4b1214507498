import { defineConfig } from 'vitest/config';

export default defineConfig({
  test: {
    include: ['test/**/*.test.ts'],
    // Property tests on a busy two-core machine need more than the default five seconds.
    testTimeout: 60_000,
    hookTimeout: 60_000,
    // Two at a time: some files start worker threads or other programs of their own.
    maxWorkers: 2,
  },
});
