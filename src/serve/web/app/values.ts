// Small values that answers are made of.
export type Phase = 1 | 2 | 3
export type Point = [number, number]
