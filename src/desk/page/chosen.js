// Which photographs the next words are for, where they are more than the one on the bench.

class Chosen extends EventTarget {
  ids = new Set();
  isOn = false; // photographs are being chosen in the row

  tell() {
    this.dispatchEvent(new Event('change'));
  }

  turn(isOn) {
    this.isOn = isOn;
    if (!isOn) this.ids.clear();
    this.tell();
  }

  toggle(id) {
    if (!this.ids.delete(id)) this.ids.add(id);
    this.tell();
  }

  all(ids) {
    this.ids = new Set(ids);
    this.tell();
  }
}

export const chosen = new Chosen();
