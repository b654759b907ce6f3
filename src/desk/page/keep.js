// What the browser keeps for us: strokes that are not saved yet, and the way back (undo). One table
// of values by text keys in IndexedDB; where the browser allows none, memory alone, and `lasting`
// says so, for then a reload would lose what is not saved.

const DATABASE = 'platewright';
const TABLE = 'kept';

/** @returns {Promise<IDBDatabase>} */
function openDatabase() {
  return new Promise((resolve, reject) => {
    const request = indexedDB.open(DATABASE, 1);
    request.onupgradeneeded = () => request.result.createObjectStore(TABLE);
    request.onsuccess = () => resolve(request.result);
    request.onerror = () => reject(request.error);
    request.onblocked = () => reject(new Error('another window holds an older table'));
  });
}

/** All keys that begin with a text. */
function keysUnder(prefix) {
  return IDBKeyRange.bound(prefix, `${prefix}\uffff`);
}

class DatabaseKeep {
  constructor(database) {
    this.database = database;
    this.lasting = true;
  }

  /** Runs one request and waits until what it wrote is on disk. */
  run(mode, ask) {
    return new Promise((resolve, reject) => {
      const transaction = this.database.transaction(TABLE, mode, { durability: 'strict' });
      const request = ask(transaction.objectStore(TABLE));
      transaction.oncomplete = () => resolve(request.result);
      transaction.onerror = () => reject(transaction.error);
      transaction.onabort = () => reject(transaction.error);
    });
  }

  get(key) { return this.run('readonly', (table) => table.get(key)); }
  put(key, value) { return this.run('readwrite', (table) => table.put(value, key)); }
  remove(key) { return this.run('readwrite', (table) => table.delete(key)); }
  removeUnder(prefix) { return this.run('readwrite', (table) => table.delete(keysUnder(prefix))); }
  keys(prefix) { return this.run('readonly', (table) => table.getAllKeys(keysUnder(prefix))); }
}

class MemoryKeep {
  constructor() {
    this.values = new Map();
    this.lasting = false;
  }

  async get(key) { return this.values.get(key); }
  async put(key, value) { this.values.set(key, value); }
  async remove(key) { this.values.delete(key); }
  async keys(prefix) { return [...this.values.keys()].filter((key) => key.startsWith(prefix)).sort(); }
  async removeUnder(prefix) { for (const key of await this.keys(prefix)) this.values.delete(key); }
}

/** @returns {Promise<DatabaseKeep|MemoryKeep>} */
export async function openKeep() {
  try {
    return new DatabaseKeep(await openDatabase());
  } catch {
    return new MemoryKeep();
  }
}
