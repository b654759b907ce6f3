// How marks look on the screen: the groups' inks, hatches and dashes come with the volume, from the
// plates' own style; what they are drawn with is as there, at a size legible at arm's length.

/** A millimetre of a plate is drawn as so many pixels. */
const PX_PER_MM = 5.2;

/** mm, as in styles/plate.yaml; the hatch a little stronger, for a screen is coarser than paper. */
const LENGTHS = { outline: 0.36, casing: 0.75, hatch: 0.2, 'hatch-casing': 0.42, line: 0.42,
  'line-casing': 0.9, point: 1, earlier: 0.3, 'earlier-dash': 1.1 };
const INKS = { casing: '#ffffff', earlier: '#6f6c66', private: '#8a8780', ink: '#1c1b19' };
const PLAIN = { name: 'other', ink: '#55524d', dash: [], hatch: { angle: 20, gap: 2.6, dash: [] } };

function inPixels(dash) { return dash?.length ? dash.map((mm) => mm * PX_PER_MM) : null; }

/** `groups`: the volume's page-style. Gives px(length), ink(name), group(name); all in pixels. */
export function lookOf(groups = []) {
  const named = new Map(groups.map((group) => [group.name, group]));
  return {
    px: (name) => LENGTHS[name] * PX_PER_MM,
    ink: (name) => INKS[name],
    group: (name) => {
      const { ink, dash, hatch } = named.get(name) ?? named.get('other') ?? PLAIN;
      return { ink, lineDash: inPixels(dash), angle: hatch.angle, gap: hatch.gap * PX_PER_MM, dash: inPixels(hatch.dash) };
    },
  };
}
