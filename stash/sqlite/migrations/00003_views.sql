-- +goose Up
PRAGMA user_version = 3;

-- What other programs may read: documented in `endsmeet help sql`, read-only,
-- columns are added and never renamed. Masses are in milligrams, lengths in
-- millimetres, counts in milligrams per kilometre (mtex), times in UTC.

CREATE VIEW yarns (id, name, fibre, mtex, count_written, construction, fit, stretch, shrinks, washing, source, note) AS
SELECT id, name,
  (SELECT group_concat((p.value ->> '$.name') || coalesce(' ' || ((p.value ->> '$.percent_ppm') / 10000.0) || '%', ''), ', ') FROM json_each(state, '$.fibre') p),
  state ->> '$.count.mtex', state ->> '$.count.written',
  (SELECT group_concat(value, ', ') FROM json_each(state, '$.construction')),
  state ->> '$.fit', state ->> '$.stretch', state ->> '$.shrinks', state ->> '$.wash.words', state ->> '$.source', state ->> '$.note'
FROM view WHERE what = 'yarn' AND live;

CREATE VIEW packages (id, tag, yarn_id, yarn, form, colour, dye_lot, bin, held_mg, length_mm, received_mg, used_mg, discarded_mg, given_mg, unexplained_mg, lent_to, retired, weighed_at, acquired, note) AS
SELECT p.id, nullif(p.tag, ''), p.parent, y.name, p.state ->> '$.form', p.state ->> '$.colour', p.state ->> '$.lot', p.state ->> '$.bin',
  iif(p.state ->> '$.known', p.state ->> '$.held_mg', NULL),
  iif(p.state ->> '$.known', CAST(round((p.state ->> '$.held_mg') * 1e6 / nullif(y.state ->> '$.count.mtex', 0)) AS INTEGER), NULL),
  p.state ->> '$.received_mg', coalesce(p.state ->> '$.used_mg', 0), coalesce(p.state ->> '$.discarded_mg', 0),
  coalesce(p.state ->> '$.given_mg', 0), coalesce(p.state ->> '$.unexplained_mg', 0),
  p.state ->> '$.lent_to', coalesce(p.state ->> '$.retired', 0), p.state ->> '$.weighed', p.state ->> '$.acquired', p.state ->> '$.note'
FROM view p LEFT JOIN subject s ON s.id = p.parent LEFT JOIN view y ON y.subject = s.n
WHERE p.what = 'package' AND p.parent != '';

CREATE VIEW pieces (id, name, project_id, project, state, started_at, ended_at, width_mm, length_mm, planned_width_mm, planned_length_mm) AS
SELECT p.id, p.name, p.parent, b.name, p.state ->> '$.state', p.state ->> '$.started_at', p.state ->> '$.ended_at',
  p.state ->> '$.finish.measures.width_mm', p.state ->> '$.finish.measures.length_mm', p.state ->> '$.plan.width_mm', p.state ->> '$.plan.length_mm'
FROM view p LEFT JOIN subject s ON s.id = p.parent LEFT JOIN view b ON b.subject = s.n
WHERE p.what = 'piece' AND p.name != '';

-- Events of which packages are made and moved, one row for each package that
-- they name; undone ones are marked. mass_mg is what was taken or came back,
-- gross_mg and net_mg are what a scale showed.
CREATE VIEW movements (event, at, kind, package_id, tag, mass_mg, gross_mg, net_mg, length_mm, piece_id, undone) AS
WITH RECURSIVE chained (act, last, depth) AS ( -- an undo may be undone, and that again
  SELECT act, by, 1 FROM undo
  UNION SELECT c.act, u.by, c.depth + 1 FROM chained c JOIN undo u ON u.act = c.last WHERE c.depth < 50
), reversed (act) AS (
  SELECT act FROM chained GROUP BY act HAVING max(depth) % 2 = 1
), reversed_id (id) AS ( -- the id of an event is the first half of its hash in base 32
  SELECT (SELECT group_concat(printf('%05X',
      ((instr('abcdefghijklmnopqrstuvwxyz234567', substr(act, k.value * 4 + 1, 1)) - 1) << 15) | ((instr('abcdefghijklmnopqrstuvwxyz234567', substr(act, k.value * 4 + 2, 1)) - 1) << 10) |
      ((instr('abcdefghijklmnopqrstuvwxyz234567', substr(act, k.value * 4 + 3, 1)) - 1) << 5) | (instr('abcdefghijklmnopqrstuvwxyz234567', substr(act, k.value * 4 + 4, 1)) - 1)), '')
    FROM json_each('[0,1,2,3,4,5]') k) ||
    printf('%02X', (((instr('abcdefghijklmnopqrstuvwxyz234567', substr(act, 25, 1)) - 1) << 5) | (instr('abcdefghijklmnopqrstuvwxyz234567', substr(act, 26, 1)) - 1)) >> 2)
  FROM reversed
), told AS (
  SELECT n, kind, coalesce(act IN (SELECT act FROM reversed), hex(substr(chain, 1, 16)) IN (SELECT id FROM reversed_id)) AS undone, at, CAST(raw AS TEXT) AS line FROM event
  WHERE kind IN ('receive', 'weigh', 'use', 'discard', 'give', 'lend', 'return', 'wind', 'retire', 'finish')
), one AS (
  SELECT n, kind, undone, at, line ->> '$.of' AS package, line ->> '$.body.mass_mg' AS mass, line ->> '$.body.gross_mg' AS gross,
    line ->> '$.body.net_mg' AS net, line ->> '$.body.length_mm' AS length, line ->> '$.body.piece' AS piece
  FROM told WHERE kind != 'finish'
  UNION ALL
  SELECT n, 'finish', undone, at, d.value ->> '$.package', d.value ->> '$.mass_mg', NULL, NULL, d.value ->> '$.length_mm', line ->> '$.of'
  FROM told, json_each(line, '$.body.debits') d WHERE kind = 'finish'
  UNION ALL
  SELECT n, 'thrums', undone, at, t.value ->> '$.package', t.value ->> '$.mass_mg', NULL, NULL, NULL, line ->> '$.of'
  FROM told, json_each(line, '$.body.thrums') t WHERE kind = 'finish'
)
SELECT one.n, strftime('%Y-%m-%dT%H:%M:%fZ', one.at / 1000.0, 'unixepoch'), one.kind, one.package, nullif(v.tag, ''), one.mass, one.gross, one.net, one.length, one.piece, one.undone
FROM one LEFT JOIN subject s ON s.id = one.package LEFT JOIN view v ON v.subject = s.n;

-- People are shown only to who has said that they may leave this machine.
CREATE VIEW people (id, name, rules) AS
SELECT id, name, json_array_length(state, '$.rules') FROM view
WHERE what = 'person' AND live AND EXISTS (SELECT 1 FROM view WHERE what = 'settings' AND state ->> '$."people.sync"' = 1);
