-- +goose Up
PRAGMA user_version = 4;

-- word is the tag of a package and the name of all else, cleaned and in small
-- letters: what people find it by. Stashes from before are folded anew.
ALTER TABLE view ADD COLUMN word TEXT NOT NULL DEFAULT '';
CREATE INDEX view_word ON view (word) WHERE word != '';
CREATE INDEX view_parent ON view (parent) WHERE parent != '';
DELETE FROM meta WHERE key = 'fold';
