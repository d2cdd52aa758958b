// Tests of the parts that need no browser.
import { defineConfig } from 'vitest/config';

export default defineConfig({ test: { include: ['src/**/*.test.ts'], environment: 'node' } });
