-- +goose Up
PRAGMA user_version = 2;

-- The vault in the shared place that this stash exchanges with: its address,
-- its keys and the machines that are known, as one JSON document.
CREATE TABLE vault (
  one    INTEGER PRIMARY KEY CHECK (one = 1),
  config TEXT NOT NULL
) STRICT;

-- How much of a lane has been sealed for the shared place. A lane that this
-- replica writes is sealed up to its end; of a lane that it writes no more, or
-- vouches for, up to tip.
CREATE TABLE publish (
  lane      INTEGER PRIMARY KEY REFERENCES lane (n),
  seq       INTEGER NOT NULL,
  chain     BLOB NOT NULL CHECK (length(chain) = 32),
  tip       INTEGER,
  tip_chain BLOB CHECK (length(tip_chain) = 32)
) STRICT;

-- What has yet to be done in the shared place, in this order. Without data an
-- object is to be deleted, not before due (Unix milliseconds).
CREATE TABLE outbox (
  n    INTEGER PRIMARY KEY AUTOINCREMENT,
  name TEXT NOT NULL,
  data BLOB,
  due  INTEGER NOT NULL DEFAULT 0
) STRICT;

-- The heads and segments that this database put there and that still stand.
CREATE TABLE own_object (
  name TEXT PRIMARY KEY
) STRICT, WITHOUT ROWID;

-- Objects that could not be taken in, and why.
CREATE TABLE quarantine (
  name    TEXT PRIMARY KEY,
  problem TEXT NOT NULL,
  found   INTEGER NOT NULL
) STRICT, WITHOUT ROWID;

-- The greatest number that the shared place ever showed of a lane.
CREATE TABLE head_seen (
  lane TEXT PRIMARY KEY,
  last INTEGER NOT NULL
) STRICT, WITHOUT ROWID;
