-- +goose Up
PRAGMA user_version = 9;

-- What other programs read has the words of the screens: what stands on the shelf is an
-- item.
DROP VIEW packages;
CREATE VIEW items (id, tag, yarn_id, yarn, form, colour, dye_lot, bin, held_mg, length_mm, received_mg, used_mg, discarded_mg, given_mg, unexplained_mg, lent_to, retired, weighed_at, acquired, note) AS
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

DROP VIEW movements;

-- Events of which items are made and moved, one row for each package that
-- they name; undone ones are marked. mass_mg is what was taken or came back,
-- gross_mg and net_mg are what a scale showed.
CREATE VIEW movements (event, at, kind, item_id, tag, mass_mg, gross_mg, net_mg, length_mm, piece_id, undone) AS
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
), mend (lane, first, last, from_ms, to_ms, shift_ms, hlc, at, by, seq) AS MATERIALIZED ( -- dates that were mended
  SELECT x.value ->> '$.lane', x.value ->> '$.first', x.value ->> '$.last', r.line ->> '$.body.from_ms', r.line ->> '$.body.to_ms', r.line ->> '$.body.shift_ms', r.hlc, r.at, r.by, r.seq
  FROM (SELECT CAST(e.raw AS TEXT) AS line, e.hlc, e.at, l.name AS by, e.seq FROM touch t JOIN event e ON e.n = t.event JOIN lane l ON l.n = e.lane
    WHERE t.subject = (SELECT n FROM subject WHERE id = 'settings') AND t.class = 5
    AND NOT coalesce(e.act IN (SELECT act FROM reversed), hex(substr(e.chain, 1, 16)) IN (SELECT id FROM reversed_id))) r, json_each(r.line, '$.body.runs') x
), told AS (
  SELECT e.n, kind, coalesce(act IN (SELECT act FROM reversed), hex(substr(e.chain, 1, 16)) IN (SELECT id FROM reversed_id)) AS undone,
    e.at + coalesce((SELECT m.shift_ms FROM mend m WHERE m.lane = l.name AND e.seq BETWEEN m.first AND m.last AND e.at BETWEEN m.from_ms AND m.to_ms
      ORDER BY m.hlc DESC, m.at DESC, m.by DESC, m.seq DESC LIMIT 1), 0) AS at, CAST(raw AS TEXT) AS line
  FROM event e JOIN lane l ON l.n = e.lane
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
