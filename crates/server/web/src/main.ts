// Puts the page into the document.
import { mount } from 'svelte';
import App from './App.svelte';
import './fonts.css';
import './page.css';

const target = document.getElementById('page');
if (target) mount(App, { target });
