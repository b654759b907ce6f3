// The leaf "Documents": which one, for whom and in which language is chosen; its pages are shown as they
// will be printed; it is saved as a file, or issued. All of it is made by the server, off the record as it
// is saved; no rule of it stands here.

import { book } from './book.js';
import { choiceField, selectField } from './fields.js';
import { actButton } from './intake.js';
import { DocumentIssue, IssuedList } from './issue.js';
import { closeLeaf, leafIsOpen, openLeaf } from './leaf.js';
import { button, fill, make, prose } from './make.js';
import { Pages } from './pages.js';
import { language as own, phrase } from './phrases.js';
import { capital } from './tell.js';
import { PhotoField } from './volume-photos.js';
import { openVolume } from './volume.js';
import { Gone, Refusal, get, getFile, saveAs } from './wire.js';

const LEAF = 'documents';
const LABELS = 'labels';
const STYLES = ['plate', 'plate-grey']; // that have words here; the first is taken where none is named
const [STYLE] = STYLES;
const kindWord = (kind) => phrase(`kind-${kind}`);
const whomWord = (whom) => phrase(`whom-${whom}`);

function languageName(tag) {
  try {
    return capital(new Intl.DisplayNames([own], { type: 'language' }).of(tag));
  } catch {
    return tag; // a file of somebody's own
  }
}

/** A style of somebody's own goes by its name. */
const styleName = (name) => (STYLES.includes(name) ? phrase(`style-${name}`) : name);

/** What stands in the way, with its place; and what to do. */
function complaintNode({ file, line, says }) {
  const photo = book.volume.photos.find((one) => `${one.file}.yaml` === file || one.file === file);
  const place = line > 0 ? phrase('owed-line', { file, n: line }) : file;
  const go = photo
    ? button({ onclick: () => book.open(photo.id).then(closeLeaf) }, phrase('to-photograph'))
    : button({ onclick: () => openVolume() }, phrase('to-volume'));
  return make('li', {}, make('p', {}, make('strong', {}, place), ': ', prose(says)), go);
}

function openConsents() {
  openVolume(({ parts }) => {
    const { head } = parts.get('consents');
    head.focus();
    head.scrollIntoView({ block: 'start' });
  });
}

function whyNone(error, { whom }) {
  if (error instanceof Gone || !(error instanceof Refusal)) return make('p', {}, phrase('documents-lost'));
  const complaints = error.body.complaints ?? [];
  const nodes = [make('p', {}, make('strong', {}, prose(capital(error.message)), '.'))];
  if (complaints.length > 0) nodes.push(make('ul', {}, complaints.map(complaintNode)));
  else if (whom === 'public' && error.status === 422)
    nodes.push(
      make('p', {}, phrase('documents-consent')),
      button({ onclick: openConsents }, phrase('to-consents')),
    );
  return nodes;
}

class Documents {
  constructor(told) {
    this.told = told;
    this.chosen = {
      kind: told.kinds[0], whom: 'studio', style: STYLE, only: [], start: '1',
      language: told.languages.includes(told.language) ? told.language : 'en',
    };
    this.pages = new Pages({
      ask: (page, signal) => this.ask(page, signal),
      nameOf: (page, pages) => phrase('documents-page', { name: this.name(), n: page, m: pages }),
      why: (error) => this.refuse(error),
      onshow: (drawn) => this.take(drawn),
    });
    this.issue = new DocumentIssue();
    this.issued = new IssuedList();
    this.says = make('div', { class: 'help', role: 'status' });
    this.node = make('div', { class: 'documents' }, this.#order(), this.pages.picture,
      make('div', { class: 'gone' }, this.issued.node, this.#tables()));
    book.addEventListener('volume', () => this.follow());
  }

  // ---- What is chosen ----

  #order() {
    const choose = (key) => (value) => this.choose({ [key]: value });
    const { kinds, audiences, languages, styles, labels } = this.told;
    this.fields = {
      kind: choiceField({ label: phrase('documents-which'), loose: false, set: choose('kind'), choices: [...kinds, LABELS].map((kind) => [kind, kindWord(kind)]) }),
      whom: choiceField({ label: phrase('documents-for'), loose: false, set: choose('whom'), choices: audiences.map((whom) => [whom, whomWord(whom)]) }),
      language: choiceField({ label: phrase('documents-in'), loose: false, set: choose('language'), choices: languages.map((tag) => [tag, languageName(tag)]) }),
      style: choiceField({ label: phrase('documents-style'), loose: false, set: choose('style'), choices: styles.map((name) => [name, styleName(name)]) }),
      only: new PhotoField({ label: phrase('documents-only'), ask: phrase('ask-photographs'), set: (files) => this.choose({ only: files ?? [] }) }),
      start: selectField({ label: phrase('documents-from'), set: choose('start'),
        choices: Array.from({ length: labels }, (_, i) => [String(i + 1), `${i + 1}`]) }),
    };
    this.about = make('p', { class: 'help' });
    this.aboutWhom = make('p', { class: 'help' });
    this.aboutOnly = make('p', { class: 'help' }, phrase('documents-only-says'));
    return make('div', { class: 'order form' },
      this.fields.kind.node, this.about, this.fields.whom.node, this.aboutWhom, this.fields.language.node,
      this.fields.style.node, this.fields.only.node, this.aboutOnly, this.fields.start.node, this.says, this.#saving(), this.issue.node);
  }

  #saving() {
    const said = make('div', { role: 'status' });
    const save = (words, ending) => actButton(words, said, async () => this.save(`${this.path()}/${ending}${this.query()}`));
    this.pdf = save(phrase('save-pdf'), 'pdf');
    this.html = save(phrase('save-html'), 'html');
    this.said = said;
    return make('div', {}, make('div', { class: 'acts' }, this.pdf, this.html, this.issue.ask), said);
  }

  #tables() {
    this.tables = make('div', { class: 'acts' });
    const said = make('div', { role: 'status' });
    this.makeTables = () => fill(this.tables, this.told.tables[this.whom()].map((name) =>
      actButton(phrase(`table-${name.replace('.csv', '')}`), said, () => this.save(`/table/${this.whom()}/${name}`))));
    return make('section', { 'aria-labelledby': 'documents-tables' },
      make('h3', { id: 'documents-tables' }, phrase('tables')),
      make('p', { class: 'help' }, phrase('tables-says')), this.tables, said);
  }

  isLabels() { return this.chosen.kind === LABELS; }

  whom() { return this.isLabels() ? 'studio' : this.chosen.whom; }

  path() {
    const { kind, language, start } = this.chosen;
    return this.isLabels() ? `/labels/${language}/${start}` : `/document/${kind}/${this.chosen.whom}/${language}`;
  }

  /** What is not as it is for everybody. A photograph that has gone is named all the same: without any, all would be shown. */
  query() {
    const { style, only } = this.chosen;
    const idOf = (name) => book.volume.photos.find(({ file }) => file === name)?.id ?? 'gone';
    const words = new URLSearchParams({ ...(style === STYLE ? {} : { style }),
      ...(only.length === 0 || this.isLabels() ? {} : { only: only.map(idOf).join('.') }) }).toString();
    return words && `?${words}`;
  }

  name() {
    return phrase('documents-named', { kind: capital(kindWord(this.chosen.kind)), whom: phrase(`for-${this.whom()}`), language: languageName(this.chosen.language) });
  }

  choose(words) {
    Object.assign(this.chosen, words);
    this.showChoice();
    this.pages.begin();
  }

  showChoice() {
    const { kind, whom } = this.chosen;
    for (const [key, field] of Object.entries(this.fields)) field.show(this.chosen[key], LEAF);
    this.about.textContent = phrase(`kind-${kind}-says`);
    this.aboutWhom.textContent = phrase(`whom-${whom}-says`);
    for (const node of [this.fields.whom.node, this.aboutWhom, this.fields.only.node, this.aboutOnly, this.html, this.issue.ask, this.issue.node])
      node.hidden = this.isLabels();
    this.fields.start.node.hidden = !this.isLabels();
    for (const node of [this.said, this.says]) fill(node);
    this.issue.begin(null);
    this.makeTables();
  }

  // ---- What is shown ----

  async ask(page, signal) {
    const [path, query] = [this.path(), this.query()];
    try {
      const drawn = await get(`${path}/page/${page}${query}`, { signal, isMaking: true });
      return { ...drawn, page, path, query, blob: new Blob([drawn.svg], { type: 'image/svg+xml' }) };
    } catch (error) {
      if (error.status !== 400 || page === 1) throw error;
      return this.ask(1, signal); // it has grown shorter
    }
  }

  /** What is told of the document that is shown. */
  take({ tag, says, version, path, query }) {
    this.tag = tag;
    for (const node of [this.pdf, this.html]) node.disabled = false;
    fill(this.says, says.map((line) => make('p', {}, capital(line), '.')));
    if (!this.isLabels()) this.issue.begin({ ...this.chosen, tag, version, path, query, today: this.told.today });
  }

  refuse(error) {
    for (const node of [this.pdf, this.html]) node.disabled = error instanceof Refusal;
    this.tag = null;
    fill(this.says);
    this.issue.begin(null);
    return whyNone(error, { whom: this.whom() });
  }

  async save(path) {
    const { blob, name, says } = await getFile(path);
    saveAs(blob, name);
    return [phrase('file-saved', { file: name }), ...says].map((line) => make('p', {}, line));
  }

  /** What was written meanwhile shows at once. */
  async follow() {
    if (!leafIsOpen(LEAF) || this.tag === book.volume.tag) return;
    this.fields.only.show(this.chosen.only, LEAF);
    this.pages.load();
    await this.renew();
  }

  async renew() {
    this.told = await get('/documents');
    this.issued.show(this.told.issued);
  }
}

let documents = null;

export async function toggleDocuments() {
  if (leafIsOpen(LEAF)) return closeLeaf();
  const told = await get('/documents');
  documents ??= new Documents(told);
  documents.showChoice();
  openLeaf({ name: LEAF, title: phrase('documents'), acts: documents.pages.acts, content: [documents.node],
    onclose: () => documents.pages.free() });
  documents.pages.load();
  return documents.renew();
}
