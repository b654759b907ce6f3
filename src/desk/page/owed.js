// What is still to do in the whole volume, and what `check` finds; each line leads to its photograph
// and mark. New photographs are taken in here.

import { book } from './book.js';
import { button, fill, make } from './make.js';
import { many, stageName, viewName } from './tell.js';
import { Gone, post } from './wire.js';

/** "before/A.jpg.yaml" or "before/A.jpg" to the photograph. */
function photoOf(file) {
  const name = (file ?? '').replace(/\.yaml$/, '');
  return book.volume.photos.find((photo) => photo.file === name) ?? null;
}

/** Opens a photograph, with the first mark that still wants deciding where that is what is owed. */
async function goTo(id, mark = null, isUndecided = false) {
  await book.open(id, mark);
  if (isUndecided) book.select(book.photo.marks.find((one) => one.words.term === 'undecided')?.id ?? null);
}

const WANTED =
  'First the photographs as received: put them into a folder \u201cbefore\u201d here, each whole face with a card or a ' +
  'ruler beside it. What is taken during and after treatment goes into \u201cduring\u201d and \u201cafter\u201d. ' +
  '\u201cviews:\u201d in volume.yaml says which faces are wanted, and those are listed here.';

export class OwedList {
  constructor() {
    this.owed = make('ul', { class: 'owed-list' });
    this.said = make('div', { role: 'status' });
    this.found = make('ul', { class: 'owed-list' });
    this.intake = button(
      { onclick: () => this.run(this.intake, () => this.takeIn()) },
      'Take in new photographs',
    );
    this.check = button({ onclick: () => this.run(this.check, () => this.look()) }, 'Check the record');
    this.title = make('h3', {});
    this.wanted = make('p', {}, WANTED);
    this.node = make(
      'div',
      {},
      make('div', { class: 'acts' }, this.check, this.intake),
      this.said,
      this.found,
      this.title,
      this.wanted,
      this.owed,
    );
  }

  /** One run at a time; what keeps it from running is said. */
  async run(button, work) {
    button.disabled = true;
    fill(this.said, make('p', {}, 'One moment \u2026'));
    try {
      await work();
    } catch (error) {
      fill(
        this.said,
        make('p', {}, error instanceof Gone ? error.message : `That did not work: ${error.message}`),
      );
    }
    button.disabled = false;
    button.focus();
  }

  async takeIn() {
    const { new: n, says } = await post('/intake', {});
    fill(
      this.said,
      make('p', {}, n > 0 ? `${many(n, 'new photograph')} taken in.` : 'No new photograph.'),
      (says ?? []).map((line) => make('p', { class: 'soft' }, line)),
    );
  }

  async look() {
    const { findings } = await post('/check', {});
    fill(
      this.said,
      make(
        'p',
        {},
        findings.length > 0 ? `${many(findings.length, 'finding')}:` : 'Nothing is missing or wrong.',
      ),
    );
    fill(
      this.found,
      findings.map((finding) => this.line(finding)),
    );
  }

  line({ file, line, severity, says, mark }) {
    const photo = photoOf(file);
    const where = photo
      ? `${viewName(photo)}, ${stageName(photo.stage)}`
      : `${file}${line ? `, line ${line}` : ''}`;
    const words = [
      make('span', { class: 'where' }, severity === 'error' ? `wrong, ${where}` : where),
      make('span', {}, says),
    ];
    return make(
      'li',
      {},
      photo ? button({ onclick: () => goTo(photo.id, mark) }, words) : make('div', { class: 'plain' }, words),
    );
  }

  show() {
    const { owed } = book.volume;
    const isEmpty = book.volume.photos.length === 0;
    this.title.textContent =
      owed.length > 0 ? `${many(owed.length, 'thing')} still to do` : isEmpty ? 'What is wanted' : 'Nothing is owed';
    this.wanted.hidden = !isEmpty;
    fill(
      this.owed,
      owed.map((owe) => {
        const words = [
          make('span', { class: 'where' }, `${viewName(owe)}${owe.stage ? `, ${owe.stage}` : ''}`),
          make('span', {}, owe.says),
        ];
        return make(
          'li',
          {},
          owe.photo
            ? button({ onclick: () => goTo(owe.photo, null, owe.what === 'undecided') }, words)
            : make('div', { class: 'plain' }, words),
        );
      }),
    );
  }
}
