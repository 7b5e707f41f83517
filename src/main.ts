import { serve } from './process.js';

await serve();
