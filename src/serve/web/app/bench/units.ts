const kUnitSigns: Record<string, string> = {
  mh: 'mH', h: 'H', uh: 'µH', mm: 'mm', in: 'in', mil: 'mil', um: 'µm', megaohm: 'MΩ', kiloohm: 'kΩ', gigaohm: 'GΩ', ohm: 'Ω',
  mm_s_rms: 'mm/s r.m.s.', in_s_peak: 'in/s peak'
}
export const bareUnit = (unit: string) => kUnitSigns[unit] ?? unit
