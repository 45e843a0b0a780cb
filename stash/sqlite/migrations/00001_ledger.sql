-- +goose Up
PRAGMA application_id = 1701733485; -- "endm"
PRAGMA user_version = 1;

-- What this replica and the others wrote. The tip of a lane that this
-- replica writes is where its next event goes on; that of another lane is the
-- end of its longest history here.
CREATE TABLE lane (
  n       INTEGER PRIMARY KEY,
  name    TEXT NOT NULL UNIQUE,
  private INTEGER NOT NULL DEFAULT 0 CHECK (private IN (0, 1)),
  key     BLOB,
  seq     INTEGER NOT NULL DEFAULT 0,
  chain   BLOB NOT NULL DEFAULT (zeroblob(32)) CHECK (length(chain) = 32)
) STRICT;

-- Every event, verbatim in raw. at is Unix milliseconds; act names the act
-- that the event belongs to, null where it begins one itself.
CREATE TABLE event (
  n     INTEGER PRIMARY KEY,
  lane  INTEGER NOT NULL REFERENCES lane (n),
  seq   INTEGER NOT NULL CHECK (seq > 0),
  chain BLOB NOT NULL CHECK (length(chain) = 32),
  at    INTEGER NOT NULL,
  hlc   INTEGER NOT NULL,
  kind  TEXT NOT NULL,
  act   TEXT,
  raw   BLOB NOT NULL,
  UNIQUE (lane, seq, chain)
) STRICT;
CREATE INDEX event_act ON event (act) WHERE act IS NOT NULL;

-- +goose StatementBegin
CREATE TRIGGER event_is_kept BEFORE DELETE ON event
BEGIN SELECT RAISE(ABORT, 'events are never deleted'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER event_is_final BEFORE UPDATE ON event
BEGIN SELECT RAISE(ABORT, 'events are never changed'); END;
-- +goose StatementEnd

-- All that follows is derived from the events, and can be made anew.

CREATE TABLE subject (
  n  INTEGER PRIMARY KEY,
  id TEXT NOT NULL UNIQUE
) STRICT;

-- Which events a subject is folded from.
CREATE TABLE touch (
  subject INTEGER NOT NULL REFERENCES subject (n),
  class   INTEGER NOT NULL,
  event   INTEGER NOT NULL REFERENCES event (n),
  PRIMARY KEY (subject, class, event)
) STRICT, WITHOUT ROWID;

-- Which acts were reversed, by which acts.
CREATE TABLE undo (
  act TEXT NOT NULL,
  by  TEXT NOT NULL,
  PRIMARY KEY (act, by)
) STRICT, WITHOUT ROWID;

-- The views, as JSON; what stands beside it is for finding them.
CREATE TABLE view (
  subject INTEGER PRIMARY KEY REFERENCES subject (n),
  what    TEXT NOT NULL,
  id      TEXT NOT NULL,
  tag     TEXT NOT NULL,
  name    TEXT NOT NULL,
  parent  TEXT NOT NULL,
  live    INTEGER NOT NULL,
  state   BLOB NOT NULL
) STRICT;
CREATE INDEX view_what ON view (what, live);

-- Commands that were given a key and must not be repeated.
CREATE TABLE once (
  key   TEXT PRIMARY KEY,
  event INTEGER NOT NULL REFERENCES event (n)
) STRICT, WITHOUT ROWID;

-- Rows of imports: which package came from which row, and its content then.
CREATE TABLE import_row (
  key     TEXT PRIMARY KEY,
  subject INTEGER NOT NULL REFERENCES subject (n),
  content TEXT NOT NULL
) STRICT, WITHOUT ROWID;

-- The clock of the last event seen, and other single values.
CREATE TABLE meta (
  key   TEXT PRIMARY KEY,
  value TEXT NOT NULL
) STRICT, WITHOUT ROWID;
