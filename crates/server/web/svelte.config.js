// Svelte: components in runes only, TypeScript in their scripts.
import { vitePreprocess } from '@sveltejs/vite-plugin-svelte';

export default { preprocess: vitePreprocess(), compilerOptions: { runes: true } };
