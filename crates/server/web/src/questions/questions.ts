// The questions by which everything about a drive is arranged.
import type { Question } from '../generated/api';

export const QUESTIONS: { id: Question; title: string }[] = [
  { id: 'mesh', title: 'Does it mesh?' },
  { id: 'carry', title: 'Does it carry?' },
  { id: 'last', title: 'Does it last?' },
  { id: 'exact', title: 'How exact is it?' },
  { id: 'shop', title: 'What will the shop get?' },
];
