// Keys: one table for each place says what a key does there; its handler and the key sheet both go by it.

const tables = [];

/** The key that is pressed; a letter's small one. */
const keyOf = ({ key }) => (key.length > 1 ? key : key.toLowerCase());

/** A row of a table: `keys` that it answers, with Shift or Ctrl where `shift` or `ctrl` says so (no `shift`: either
 *  way), the key of its words, what it does, and `when` it does so. Rows of one kind are shown as one line. */
const asks = ({ keys, shift, ctrl = false }, event) => keys.includes(keyOf(event))
  && (shift ?? event.shiftKey) === event.shiftKey
  && ctrl === (event.ctrlKey || event.metaKey)
  && !event.altKey;

/** Answer the keys of a place by its rows: a handler that tells whether one did. `about` goes on to the row. */
export function keysOf(place, rows) {
  tables.push({ place, rows });
  return (event, ...about) => {
    const row = rows.find((one) => asks(one, event) && (one.when?.(keyOf(event), ...about) ?? true));
    if (!row) return false;
    event.preventDefault();
    row.act(keyOf(event), ...about);
    return true;
  };
}

/** Every place and its rows, as they were given. */
export function keyTables() {
  return tables;
}
