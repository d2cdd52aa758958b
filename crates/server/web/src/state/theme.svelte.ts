// Light, dark, or what the system says.

export type ThemeChoice = 'light' | 'dark' | 'system';

const KEY = 'lobewright-theme';
const darkSystem = matchMedia('(prefers-color-scheme: dark)');

function kept(): ThemeChoice {
  try {
    const value = localStorage.getItem(KEY);
    return value === 'light' || value === 'dark' ? value : 'system';
  } catch {
    return 'system';
  }
}

class Theme {
  choice = $state<ThemeChoice>(kept());
  #systemIsDark = $state(darkSystem.matches);
  isDark = $derived(this.choice === 'system' ? this.#systemIsDark : this.choice === 'dark');

  constructor() {
    darkSystem.addEventListener('change', (event) => (this.#systemIsDark = event.matches));
  }

  choose(choice: ThemeChoice) {
    this.choice = choice;
    if (choice === 'system') delete document.documentElement.dataset.theme;
    else document.documentElement.dataset.theme = choice;
    try {
      if (choice === 'system') localStorage.removeItem(KEY);
      else localStorage.setItem(KEY, choice);
    } catch {
      // A browser that keeps nothing forgets the choice with the page.
    }
  }
}

export const theme = new Theme();
