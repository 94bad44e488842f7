-- Material of one month, reckoned a second time and another way: lots by
-- windows, average pools by one recursion, in whole numbers. It runs on SQLite
-- (3.39 on) and PostgreSQL, and shares nothing with the program but its
-- tables. The statements are run in one transaction, which is rolled back; the
-- last gives the answer.
--
-- One row for each hull, stage and purpose; a row without a hull names, as its
-- stage, the account that bears what no hull does.
--
-- Held constant: the zone's offset from UTC. Outside the month it decides only
-- which day's waste factor holds.
CREATE TEMPORARY TABLE stock_lots AS
WITH priced AS (
    SELECT lot, (price * COALESCE(fx, 1000000) + 5000000000) / 10000000000 AS price, (COALESCE(landed, 0) + 5000) / 10000 AS landed FROM lots
),
-- The last invoice restates the price; without a landed share of its own the former stands.
invoiced AS (
    SELECT lot, (price * COALESCE(fx, 1000000) + 5000000000) / 10000000000 AS price,
           (SELECT (l.landed + 5000) / 10000 FROM invoices l WHERE l.lot = i.lot AND l.landed IS NOT NULL ORDER BY l.at_ms DESC LIMIT 1) AS landed,
           ROW_NUMBER() OVER (PARTITION BY lot ORDER BY at_ms DESC) AS from_last
    FROM invoices i
)
SELECT l.lot, l.item, i.cost_method, i.waste_mode, i.waste_factor, i.standard_price, l.received_ms,
       COALESCE(n.price, p.price) + COALESCE(n.landed, p.landed) AS cost,
       CASE WHEN l.unit IN ('', i.stock_unit) THEN l.quantity
            WHEN l.unit = 'MTR' THEN (l.quantity * i.roll_width_m + 500000) / 1000000
            WHEN l.unit = 'C62' THEN (l.quantity * i.sheet_m2 + 500000) / 1000000
            WHEN l.unit = 'LTR' THEN (l.quantity * i.kg_per_litre + 500000) / 1000000
            ELSE (l.quantity * 1000000 + i.kg_per_litre / 2) / i.kg_per_litre END AS quantity
FROM lots l JOIN items i ON i.item = l.item JOIN priced p ON p.lot = l.lot
LEFT JOIN invoiced n ON n.lot = l.lot AND n.from_last = 1;

-- All that happened to the lots, in order. What left a lot is drawn: an issue
-- of a factored item net × (1 + factor), a return what was put back.
CREATE TEMPORARY TABLE stock_events AS
WITH days AS (
    SELECT id, (at_ms / 1000 + 3600) / 86400 + 719468 AS z FROM entries WHERE lot <> '' AND voided_by = ''
),
years AS (
    SELECT id, z, z / 146097 AS era, z % 146097 AS doe FROM days
),
months AS (
    SELECT id, era, doe, (doe - doe / 1460 + doe / 36524 - doe / 146096) / 365 AS yoe FROM years
),
parts AS (
    SELECT id, era, yoe, doe - (365 * yoe + yoe / 4 - yoe / 100) AS doy FROM months
),
civil AS (
    SELECT id, yoe + era * 400 + CASE WHEN (5 * doy + 2) / 153 < 10 THEN 0 ELSE 1 END AS y,
           CASE WHEN (5 * doy + 2) / 153 < 10 THEN (5 * doy + 2) / 153 + 3 ELSE (5 * doy + 2) / 153 - 9 END AS m,
           doy - (153 * ((5 * doy + 2) / 153) + 2) / 5 + 1 AS dm
    FROM parts
),
dated AS (
    SELECT id, CAST(y AS TEXT) || '-' || CASE WHEN m < 10 THEN '0' ELSE '' END || CAST(m AS TEXT) || '-' ||
               CASE WHEN dm < 10 THEN '0' ELSE '' END || CAST(dm AS TEXT) AS date
    FROM civil
),
factors AS (
    SELECT e.id, COALESCE(j.waste_factor,
           (SELECT f.factor FROM waste_factors f WHERE f.item = l.item AND f.from_date <= d.date ORDER BY f.from_date DESC LIMIT 1),
           l.waste_factor, 0) AS factor
    FROM entries e JOIN dated d ON d.id = e.id JOIN stock_lots l ON l.lot = e.lot LEFT JOIN jobs j ON j.job = e.job
),
happened AS (
    SELECT e.lot, e.kind, e.at_ms, 1 AS turn, e.station, e.n, e.id AS source, e.job, 0 AS counted,
           CASE WHEN e.kind = 'return' THEN -e.quantity WHEN e.kind = 'issue' AND l.waste_mode = 'factored'
                THEN (e.quantity * (1000000 + f.factor) + 500000) / 1000000 ELSE e.quantity END AS drawn,
           CASE e.kind WHEN 'issue' THEN e.quantity WHEN 'return' THEN -e.quantity ELSE 0 END AS net
    FROM entries e JOIN factors f ON f.id = e.id JOIN stock_lots l ON l.lot = e.lot
    WHERE e.kind IN ('issue', 'return', 'scrap')
    UNION ALL
    SELECT lot, 'receipt', received_ms, 0, '', 0, 'lot ' || lot, '', 0, -quantity, 0 FROM stock_lots
    UNION ALL
    SELECT lot, 'count', at_ms, 2, '', 0, 'count', '', quantity, 0, 0 FROM counts
)
SELECT h.*, l.item, ROW_NUMBER() OVER (ORDER BY h.at_ms, turn, station, n, source, h.lot) AS place
FROM happened h JOIN stock_lots l ON l.lot = h.lot;

-- A count states what is there: it draws what the books had above it. Between
-- two counts lies a stretch of the lot's events.
CREATE TEMPORARY TABLE stock_draws AS
WITH stretches AS (
    SELECT stock_events.*, COUNT(CASE WHEN kind = 'count' THEN 1 END) OVER (PARTITION BY lot ORDER BY place ROWS UNBOUNDED PRECEDING) -
           CASE WHEN kind = 'count' THEN 1 ELSE 0 END AS stretch
    FROM stock_events
),
used AS (
    SELECT lot, stretch, CAST(SUM(drawn) AS BIGINT) AS drawn FROM stretches GROUP BY lot, stretch
),
differences AS (
    SELECT s.place, COALESCE(LAG(s.counted) OVER (PARTITION BY s.lot ORDER BY s.place), 0) - u.drawn - s.counted AS drawn
    FROM stretches s JOIN used u ON u.lot = s.lot AND u.stretch = s.stretch
    WHERE s.kind = 'count'
)
SELECT s.place, s.lot, s.item, s.kind, s.at_ms, s.job, s.stretch, s.net, COALESCE(d.drawn, s.drawn) AS drawn
FROM stretches s LEFT JOIN differences d ON d.place = s.place;

-- Lots: the running total of what was drawn, at the lot's cost, rounded half
-- away from zero.
CREATE TEMPORARY TABLE stock_charges AS
WITH RECURSIVE
running AS (
    SELECT d.place, d.drawn, l.cost, l.quantity, CAST(SUM(d.drawn) OVER (PARTITION BY d.lot ORDER BY d.place ROWS UNBOUNDED PRECEDING) AS BIGINT) AS cum
    FROM stock_draws d JOIN stock_lots l ON l.lot = d.lot
    WHERE l.cost_method = 'lot' AND d.kind <> 'receipt'
),
by_lot AS (
    SELECT place,
           CASE WHEN cum < 0 THEN -((-cum * cost * 2 + quantity) / (2 * quantity)) ELSE (cum * cost * 2 + quantity) / (2 * quantity) END -
           CASE WHEN cum - drawn < 0 THEN -(((drawn - cum) * cost * 2 + quantity) / (2 * quantity))
                ELSE ((cum - drawn) * cost * 2 + quantity) / (2 * quantity) END AS amount
    FROM running
),
-- Pools: what a draw costs depends on what is left, so event by event.
pool_events AS (
    SELECT d.place, d.item, d.kind, d.drawn, l.cost, l.standard_price, ROW_NUMBER() OVER (PARTITION BY d.item ORDER BY d.place) AS k
    FROM stock_draws d JOIN stock_lots l ON l.lot = d.lot
    WHERE l.cost_method = 'average'
),
-- unit_cost / unit_quantity is the last unit cost: of the pool while it holds
-- anything, of what it last held afterwards, the standard price before it ever
-- did. Each event takes two steps: the odd one charges it, the even one books it.
pools AS (
    SELECT item, CAST(0 AS BIGINT) AS half, CAST(0 AS BIGINT) AS place, CAST(0 AS BIGINT) AS held, CAST(0 AS BIGINT) AS worth,
           CAST(0 AS BIGINT) AS drawn, CAST(0 AS BIGINT) AS amount, MAX(standard_price) AS unit_cost, CAST(10000000000 AS BIGINT) AS unit_quantity
    FROM stock_lots WHERE cost_method = 'average' GROUP BY item
    UNION ALL
    SELECT p.item, p.half + 1, e.place,
           CASE WHEN p.half % 2 = 0 THEN p.held ELSE p.held - p.drawn END,
           CASE WHEN p.half % 2 = 0 THEN p.worth ELSE p.worth - p.amount END,
           e.drawn,
           CASE WHEN e.kind = 'receipt' THEN -e.cost
                WHEN (p.unit_cost >= 0) = (e.drawn >= 0)
                THEN (ABS(p.unit_cost) * ABS(e.drawn) * 2 + p.unit_quantity) / (2 * p.unit_quantity)
                ELSE -((ABS(p.unit_cost) * ABS(e.drawn) * 2 + p.unit_quantity) / (2 * p.unit_quantity)) END,
           CASE WHEN p.half % 2 = 1 AND p.held > p.drawn THEN p.worth - p.amount ELSE p.unit_cost END,
           CASE WHEN p.half % 2 = 1 AND p.held > p.drawn THEN p.held - p.drawn ELSE p.unit_quantity END
    FROM pools p JOIN pool_events e ON e.item = p.item AND e.k = p.half / 2 + 1
)
SELECT d.place, d.lot, d.item, d.kind, d.at_ms, d.job, d.stretch, d.net, d.drawn, c.amount
FROM stock_draws d JOIN (SELECT place, amount FROM by_lot UNION ALL SELECT place, amount FROM pools WHERE half % 2 = 1) c ON c.place = d.place;

-- Who bears a charge, in the month: a job; or, for a count of a factored item,
-- the jobs that drew on the lot since it was counted last, by their net draw
-- and the largest remainder; else nobody.
CREATE TEMPORARY TABLE stock_borne AS
WITH in_month AS (
    SELECT * FROM stock_charges WHERE kind <> 'receipt' AND (at_ms / 1000 + 3600) / 86400 BETWEEN 20697 AND 20726
),
drew AS (
    SELECT c.lot, c.stretch, c.job, CAST(SUM(c.net) AS BIGINT) AS net
    FROM stock_charges c JOIN stock_lots l ON l.lot = c.lot AND l.waste_mode = 'factored'
    WHERE c.job <> '' GROUP BY c.lot, c.stretch, c.job HAVING SUM(c.net) > 0
),
weighed AS (
    SELECT m.place, w.job, m.amount, ABS(m.amount) * w.net AS exact, CAST(SUM(w.net) OVER (PARTITION BY m.place) AS BIGINT) AS nets
    FROM in_month m JOIN drew w ON w.lot = m.lot AND w.stretch = m.stretch
    WHERE m.kind = 'count'
),
dealt AS (
    SELECT place, job, amount, exact / nets AS part,
           ABS(amount) - CAST(SUM(exact / nets) OVER (PARTITION BY place) AS BIGINT) AS cents_left,
           ROW_NUMBER() OVER (PARTITION BY place ORDER BY exact % nets DESC, job) AS turn
    FROM weighed
)
SELECT place, job, CASE WHEN amount < 0 THEN -1 ELSE 1 END * (part + CASE WHEN turn <= cents_left THEN 1 ELSE 0 END) AS amount FROM dealt
UNION ALL
SELECT place, CASE WHEN kind IN ('count', 'scrap') THEN kind ELSE job END, amount
FROM in_month m WHERE NOT EXISTS (SELECT 1 FROM dealt d WHERE d.place = m.place);

-- A shared job's hulls and weights, letter by letter; then its amounts.
WITH RECURSIVE
letters AS (
    SELECT job, CAST(0 AS BIGINT) AS i, shares, substr(shares, 1, 0) AS hull, CAST(0 AS BIGINT) AS weight, CAST(0 AS BIGINT) AS in_weight
    FROM jobs WHERE shares <> ''
    UNION ALL
    SELECT job, i + 1, shares,
           CASE substr(shares, CAST(i + 1 AS INT), 1) WHEN ';' THEN substr(shares, 1, 0) WHEN ':' THEN hull
                ELSE CASE WHEN in_weight = 1 THEN hull ELSE hull || substr(shares, CAST(i + 1 AS INT), 1) END END,
           CASE WHEN substr(shares, CAST(i + 1 AS INT), 1) IN (';', ':') OR in_weight = 0 THEN 0
                ELSE weight * 10 + CAST(substr(shares, CAST(i + 1 AS INT), 1) AS BIGINT) END,
           CASE substr(shares, CAST(i + 1 AS INT), 1) WHEN ';' THEN 0 WHEN ':' THEN 1 ELSE in_weight END
    FROM letters WHERE i < length(shares)
),
hull_shares AS (
    SELECT job, i AS place, hull, weight, CAST(SUM(weight) OVER (PARTITION BY job) AS BIGINT) AS all_weights
    FROM letters
    WHERE in_weight = 1 AND weight > 0 AND substr(shares || ';', CAST(i + 1 AS INT), 1) = ';'
    UNION ALL
    SELECT job, 1, hull, 1, 1 FROM jobs WHERE hull <> ''
),
parts AS (
    SELECT b.place, b.amount, s.hull, j.stage, j.purpose, ABS(b.amount) * s.weight / s.all_weights AS part,
           ABS(b.amount) - CAST(SUM(ABS(b.amount) * s.weight / s.all_weights) OVER (PARTITION BY b.place, b.job) AS BIGINT) AS cents_left,
           ROW_NUMBER() OVER (PARTITION BY b.place, b.job ORDER BY ABS(b.amount) * s.weight % s.all_weights DESC, s.place) AS turn
    FROM stock_borne b JOIN jobs j ON j.job = b.job JOIN hull_shares s ON s.job = b.job
)
SELECT hull, stage, 'material' AS element, purpose, 0 AS seconds,
       CAST(SUM(CASE WHEN amount < 0 THEN -1 ELSE 1 END * (part + CASE WHEN turn <= cents_left THEN 1 ELSE 0 END)) AS BIGINT) AS amount
FROM parts GROUP BY hull, stage, purpose
UNION ALL
SELECT '', CASE WHEN job = 'scrap' THEN 'stock losses' ELSE 'stock differences' END, 'material', '', 0, CAST(SUM(amount) AS BIGINT)
FROM stock_borne WHERE job IN ('count', 'scrap') GROUP BY job
UNION ALL
SELECT '', 'stock', 'material', '', 0, CAST(SUM(cost) AS BIGINT)
FROM stock_lots WHERE (received_ms / 1000 + 3600) / 86400 BETWEEN 20697 AND 20726 HAVING COUNT(*) > 0
ORDER BY 1, 2, 3, 4
