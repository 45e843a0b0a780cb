-- +goose Up
PRAGMA user_version = 7;

-- The index by lane and sequence repeated the hash of every event. Uniqueness is
-- kept by a trigger, which compares the events of one place.
CREATE TEMP TABLE kept_event AS SELECT * FROM event ORDER BY n;
CREATE TEMP TABLE kept_touch AS SELECT * FROM touch;
CREATE TEMP TABLE kept_once AS SELECT * FROM once;
DROP TABLE touch;
DROP TABLE once;
DROP TABLE event;

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
  raw   BLOB NOT NULL
) STRICT;
CREATE INDEX event_place ON event (lane, seq);
CREATE INDEX event_act ON event (act) WHERE act IS NOT NULL;

-- Which events a subject is folded from.
CREATE TABLE touch (
  subject INTEGER NOT NULL REFERENCES subject (n),
  class   INTEGER NOT NULL,
  event   INTEGER NOT NULL REFERENCES event (n),
  PRIMARY KEY (subject, class, event)
) STRICT, WITHOUT ROWID;

-- Commands that were given a key and must not be repeated.
CREATE TABLE once (
  key   TEXT PRIMARY KEY,
  event INTEGER NOT NULL REFERENCES event (n)
) STRICT, WITHOUT ROWID;

INSERT INTO event SELECT * FROM kept_event;
INSERT INTO touch SELECT * FROM kept_touch;
INSERT INTO once SELECT * FROM kept_once;
DROP TABLE kept_event;
DROP TABLE kept_touch;
DROP TABLE kept_once;

-- +goose StatementBegin
CREATE TRIGGER event_is_kept BEFORE DELETE ON event
BEGIN SELECT RAISE(ABORT, 'events are never deleted'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER event_is_final BEFORE UPDATE ON event
BEGIN SELECT RAISE(ABORT, 'events are never changed'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER event_is_new BEFORE INSERT ON event
WHEN EXISTS (SELECT 1 FROM event e WHERE e.lane = NEW.lane AND e.seq = NEW.seq AND e.chain = NEW.chain)
BEGIN SELECT RAISE(ABORT, 'events are never stored twice'); END;
-- +goose StatementEnd

-- What a row held then stands among the facts of its package.
ALTER TABLE import_row DROP COLUMN content;
