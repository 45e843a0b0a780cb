-- +goose Up
PRAGMA user_version = 8;

-- The view of a package that nothing but its receipt tells of has an empty state: it is
-- read out of that event. What a package holds, null where nobody knows, stands beside
-- the state of all.
ALTER TABLE view ADD COLUMN held INTEGER;

-- Rows of imports: which packages came from which row, by a hash of its key.
DROP TABLE import_row;
CREATE TABLE import_row (
  hash    INTEGER NOT NULL,
  subject INTEGER NOT NULL REFERENCES subject (n),
  PRIMARY KEY (hash, subject)
) STRICT, WITHOUT ROWID;

DROP VIEW packages;
CREATE VIEW packages (id, tag, yarn_id, yarn, form, colour, dye_lot, bin, held_mg, length_mm, received_mg, used_mg, discarded_mg, given_mg, unexplained_mg, lent_to, retired, weighed_at, acquired, note) AS
WITH shelf AS (
  SELECT v.id, v.tag, v.parent, v.held, CAST(nullif(v.state, x'') AS TEXT) AS state,
    iif(v.state = x'', CAST(e.raw AS TEXT) -> '$.body.fields', CAST(v.state AS TEXT)) AS facts,
    iif(v.state = x'' AND v.held IS NOT NULL, CAST(e.raw AS TEXT) ->> '$.at', NULL) AS received_at
  FROM view v LEFT JOIN touch t ON v.state = x'' AND t.subject = v.subject AND t.class = 2 LEFT JOIN event e ON e.n = t.event
  WHERE v.what = 'package' AND v.parent != ''
)
SELECT p.id, nullif(p.tag, ''), p.parent, y.name, p.facts ->> '$.form', p.facts ->> '$.colour', p.facts ->> '$.lot', p.facts ->> '$.bin',
  p.held, CAST(round(p.held * 1e6 / nullif(y.state ->> '$.count.mtex', 0)) AS INTEGER),
  coalesce(p.state ->> '$.received_mg', p.held, 0), coalesce(p.state ->> '$.used_mg', 0), coalesce(p.state ->> '$.discarded_mg', 0),
  coalesce(p.state ->> '$.given_mg', 0), coalesce(p.state ->> '$.unexplained_mg', 0),
  p.state ->> '$.lent_to', coalesce(p.state ->> '$.retired', 0), coalesce(p.received_at, p.state ->> '$.weighed'), p.facts ->> '$.acquired', p.facts ->> '$.note'
FROM shelf p LEFT JOIN subject s ON s.id = p.parent LEFT JOIN view y ON y.subject = s.n;

-- Stashes from before are folded anew.
DELETE FROM meta WHERE key = 'fold';
