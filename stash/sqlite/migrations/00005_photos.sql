-- +goose Up
PRAGMA user_version = 5;

-- The bytes of pictures, by the first half of their SHA-256. Which of them are of
-- what is in the ledger. sent says that the shared place was seen to hold one.
CREATE TABLE picture (id BLOB PRIMARY KEY, data BLOB NOT NULL, sent INTEGER NOT NULL DEFAULT 0);

CREATE INDEX view_parent_photo ON view (parent) WHERE what = 'photo';
