// A document that leaves the studio: one touch tells what will happen, a second one does it. And the list
// of those that have left it, each to be had again as it was.

import { book } from './book.js';
import { actButton } from './intake.js';
import { button, fill, freshId, make, prose } from './make.js';
import { dayOf, phrase } from './phrases.js';
import { capital } from './tell.js';
import { getFile, post, saveAs } from './wire.js';

const KINDS = ['receipt', 'condition', 'proposal', 'treatment', 'summary']; // of the log, which may tell of others
const READERS = ['studio', 'owner', 'public'];

export class DocumentIssue {
  constructor() {
    const id = freshId('issue');
    this.ask = button({ 'aria-expanded': 'false', 'aria-controls': id, onclick: () => this.open(this.panel.hidden) }, phrase('issue-more'));
    this.text = make('p', { tabIndex: -1 });
    this.now = button({ class: 'strong', onclick: () => this.issue() });
    this.not = button({ onclick: () => this.open(false) }, phrase('issue-not'));
    this.panel = make('div', { id, class: 'issue-panel', role: 'group', 'aria-label': phrase('issue'), hidden: true },
      this.text, make('div', { class: 'acts' }, this.now, this.not));
    this.said = make('div', { role: 'status', tabIndex: -1 });
    this.node = make('div', {}, this.panel, this.said);
    this.isBusy = false;
  }

  /** The document that is shown, as the server drew it; null: there is none. */
  begin(shown) {
    if (shown?.path !== this.shown?.path || shown?.query !== this.shown?.query) {
      this.#shut();
      fill(this.said);
    }
    this.shown = shown;
    this.ask.disabled = shown === null;
    if (shown) this.#tell(shown);
  }

  #tell({ kind, whom, version, today }) {
    this.text.textContent = phrase('issue-says', { n: version, kind: phrase(`kind-${kind}`), whom: phrase(`for-${whom}`), day: dayOf(today) });
    this.now.textContent = phrase('issue-now', { n: version });
  }

  #shut() {
    this.panel.hidden = true;
    this.ask.setAttribute('aria-expanded', 'false');
  }

  /** The words take the focus, not the button: a key held a little too long issues nothing. */
  open(isOpen) {
    fill(this.said);
    this.panel.hidden = !isOpen;
    this.ask.setAttribute('aria-expanded', String(isOpen));
    (isOpen ? this.text : this.ask).focus();
    if (isOpen) this.panel.scrollIntoView({ block: 'nearest' });
  }

  async issue() {
    if (this.isBusy) return;
    if (book.queue.n > 0) return fill(this.said, make('p', {}, phrase('issue-unsaved')));
    this.isBusy = true;
    fill(this.said, make('p', {}, phrase('issue-making')));
    const { path, query, tag } = this.shown;
    const lines = await post(`${path}/issue${query}`, {}, { tag, isMaking: true }).then(
      ({ file, version, says }) => [make('strong', {}, phrase('issue-done', { n: version, file })), ...says.map(capital)],
      (error) => [make('strong', {}, prose(capital(error.message))), ...(error.body?.complaints ?? []).map(({ file, line, says }) => `${phrase('owed-line', { file, n: line })}: ${says}`)],
    );
    this.isBusy = false;
    this.#shut();
    fill(this.said, lines.map((line) => make('p', {}, line)));
    this.said.focus();
    return book.refresh().catch(() => {}); // the pulse tells of it later
  }
}

export class IssuedList {
  constructor() {
    this.list = make('ul', { class: 'issued' });
    this.said = make('div', { role: 'status' });
    this.node = make('section', { 'aria-labelledby': 'documents-issued' },
      make('h3', { id: 'documents-issued' }, phrase('issued')), this.list, this.said);
  }

  show(issued) {
    const text = JSON.stringify(issued);
    if (text === this.shown) return;
    this.shown = text;
    fill(this.list, issued.length > 0 ? issued.map((one) => this.row(one)) : make('li', { class: 'soft' }, phrase('issued-none')));
  }

  row({ document, version, on, to, sha256, says }) {
    const kind = KINDS.includes(document) ? phrase(`kind-${document}`) : document ?? '';
    const whom = READERS.includes(to) ? phrase(`for-${to}`) : to ?? phrase('issued-nobody');
    const name = phrase('issued-version', { document: capital(kind), n: version });
    const keep = actButton(phrase('issued-save'), this.said, async () => {
      const { blob, name: file } = await getFile(`/issued/${sha256}`);
      saveAs(blob, file);
      return make('p', {}, phrase('issued-saved', { file }));
    });
    keep.setAttribute('aria-label', phrase('issued-save-named', { name, whom }));
    return make('li', {},
      make('p', {}, make('strong', {}, name), make('span', {}, phrase('issued-line', { day: dayOf(on), whom })),
        says ? make('em', {}, capital(says)) : null),
      sha256 ? keep : null);
  }
}
