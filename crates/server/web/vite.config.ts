// Bundles the page; where it goes is told by build.rs through DIST, so that the source tree is never written.
import { svelte } from '@sveltejs/vite-plugin-svelte';
import { defineConfig } from 'vite';

const api = process.env.LOBEWRIGHT_SERVER ?? 'http://127.0.0.1:8140';

export default defineConfig({
  plugins: [svelte()],
  base: './',
  build: {
    outDir: process.env.DIST ?? 'dist',
    emptyOutDir: true,
    target: 'es2022',
    assetsInlineLimit: 0,
    chunkSizeWarningLimit: 800,
  },
  server: { proxy: { '/api': { target: api, changeOrigin: true } } },
});
