-- Labour and overhead of one month, reckoned a second time and another way: by
-- joins, windows and one recursion over what was recorded, in whole numbers.
-- It runs on SQLite (3.39 on) and PostgreSQL, and shares nothing with the
-- program but its tables. The statements are run in one transaction, which is
-- rolled back; the last gives the answer.
--
-- One row for each hull, stage, element and purpose; the row without a hull is
-- what no hull bears: indirect time and overtime premium.
--
-- Held constant for the month: the zone's offset from UTC (no clock change in
-- its weeks), no neutral rounding of instants, no on-cost on premium, and
-- max_booking and no_shift_cap as they stand undated.
CREATE TEMPORARY TABLE month_span AS
WITH constants AS (
    SELECT CAST(20697 AS BIGINT) AS first_day, -- 2026-09-01, in days since 1970
           CAST(20726 AS BIGINT) AS last_day,  -- 2026-09-30
           CAST(3600 AS BIGINT) AS east        -- seconds the yard's clocks are ahead of UTC
),
-- The whole ISO weeks that the month touches: they are what is rounded together.
whole_weeks AS (
    SELECT first_day, last_day, east, first_day - (first_day + 3) % 7 AS monday,
           last_day + 6 - (last_day + 3) % 7 AS sunday,
           -- Entries from a week before: what was open then has ended long since.
           (first_day - (first_day + 3) % 7 - 7) * 86400000 - east * 1000 AS since_ms
    FROM constants
)
SELECT * FROM whole_weeks;

CREATE TEMPORARY TABLE month_days AS
WITH RECURSIVE
numbers AS (
    SELECT CAST(1 AS BIGINT) AS k
    UNION ALL
    SELECT k + 1 FROM numbers WHERE k < 40
),
-- The calendar: a day's number, its ISO 8601 text and its local midnight.
civil AS (
    SELECT monday + k - 1 AS d, (monday + k - 1 + 719468) / 146097 AS era, (monday + k - 1 + 719468) % 146097 AS doe, east
    FROM month_span JOIN numbers ON monday + k - 1 <= sunday
),
civil_year AS (
    SELECT d, era, doe, (doe - doe / 1460 + doe / 36524 - doe / 146096) / 365 AS yoe, east FROM civil
),
civil_month AS (
    SELECT d, era, yoe, doe - (365 * yoe + yoe / 4 - yoe / 100) AS doy,
           (5 * (doe - (365 * yoe + yoe / 4 - yoe / 100)) + 2) / 153 AS mp, east
    FROM civil_year
),
civil_day AS (
    SELECT d, east, yoe + era * 400 + CASE WHEN mp < 10 THEN 0 ELSE 1 END AS y,
           CASE WHEN mp < 10 THEN mp + 3 ELSE mp - 9 END AS m, doy - (153 * mp + 2) / 5 + 1 AS dm
    FROM civil_month
),
days AS (
    SELECT d, CAST(y AS TEXT) || '-' || CASE WHEN m < 10 THEN '0' ELSE '' END || CAST(m AS TEXT) || '-' ||
              CASE WHEN dm < 10 THEN '0' ELSE '' END || CAST(dm AS TEXT) AS date,
           d - (d + 3) % 7 AS week, (d + 3) % 7 + 1 AS weekday,
           d * 86400 - east AS midnight, (d + 1) * 86400 - east AS next_midnight
    FROM civil_day
)
SELECT * FROM days;

CREATE TEMPORARY TABLE month_limits AS
WITH RECURSIVE
numbers AS (
    SELECT CAST(1 AS BIGINT) AS k
    UNION ALL
    SELECT k + 1 FROM numbers WHERE k < 40
),
-- Policies: decimals in millionths, durations in seconds.
points AS (
    SELECT key, from_date, value, COALESCE(MIN(CASE WHEN substr(value, CAST(k AS INT), 1) = '.' THEN k END), length(value) + 1) AS point
    FROM policy JOIN numbers ON k <= length(value)
    WHERE key IN ('on_cost', 'overtime_multiplier', 'double_multiplier')
    GROUP BY key, from_date, value
),
limits AS (
    SELECT key, from_date, CAST(substr(value, 1, CAST(point - 1 AS INT)) AS BIGINT) * 1000000 +
           CAST(substr(substr(value, CAST(point + 1 AS INT)) || '000000', 1, 6) AS BIGINT) AS value
    FROM points
    UNION ALL
    SELECT key, from_date, CAST(substr(value, 1, CAST(length(value) - 1 AS INT)) AS BIGINT) *
           CASE substr(value, CAST(length(value) AS INT), 1) WHEN 'h' THEN 3600 WHEN 'm' THEN 60 ELSE 1 END
    FROM policy WHERE key IN ('max_booking', 'no_shift_cap', 'daily_ordinary', 'weekly_ordinary')
)
SELECT * FROM limits;

CREATE TEMPORARY TABLE month_longest AS
SELECT (SELECT value FROM month_limits WHERE key = 'max_booking' AND from_date = '') * 1000 AS max_ms,
           (SELECT value FROM month_limits WHERE key = 'no_shift_cap' AND from_date = '') * 1000 AS cap_ms;

CREATE TEMPORARY TABLE month_policy AS
WITH -- What holds on a day: the last that began by then.
day_policy AS (
    SELECT d, date, week, weekday, midnight, next_midnight,
           CASE WHEN weekday = 7 OR EXISTS (SELECT 1 FROM holidays h WHERE h.date = days.date) THEN 1 ELSE 0 END AS is_double,
           (SELECT value FROM month_limits WHERE key = 'on_cost' AND from_date <= days.date ORDER BY from_date DESC LIMIT 1) AS on_cost,
           (SELECT value FROM month_limits WHERE key = 'overtime_multiplier' AND from_date <= days.date ORDER BY from_date DESC LIMIT 1) AS overtime,
           (SELECT value FROM month_limits WHERE key = 'double_multiplier' AND from_date <= days.date ORDER BY from_date DESC LIMIT 1) AS doubled,
           (SELECT value FROM month_limits WHERE key = 'daily_ordinary' AND from_date <= days.date ORDER BY from_date DESC LIMIT 1) AS daily,
           (SELECT value FROM month_limits JOIN month_days monday ON monday.d = days.week
            WHERE key = 'weekly_ordinary' AND from_date <= monday.date ORDER BY from_date DESC LIMIT 1) AS weekly
    FROM month_days days
)
SELECT * FROM day_policy;

CREATE TEMPORARY TABLE month_steps AS
WITH -- Everybody's entries: their own, their crew's, and corrections.
scanned AS (
    SELECT e.id, e.at_ms, e.station, e.n, w.number AS worker, CASE WHEN e.crew = '' THEN 0 ELSE 1 END AS by_crew,
           CASE WHEN e.kind = 'off' THEN 'off' WHEN e.job <> '' THEN 'job ' || e.job ELSE 'code ' || e.indirect END AS target
    FROM entries e
    JOIN workers w ON (e.crew = '' AND e.worker = w.number) OR (e.crew <> '' AND e.crew = w.crew)
    JOIN month_span ON e.at_ms >= since_ms
    WHERE e.kind IN ('on', 'off') AND e.voided_by = ''
),
corrected AS (
    SELECT worker, at_ms, kind, CASE WHEN target IN ('', 'off') THEN target
           WHEN target IN (SELECT job FROM jobs) THEN 'job ' || target ELSE 'code ' || target END AS target
    FROM corrections
),
-- A void takes back what was scanned at its instant; where nothing was, what was added.
voids AS (
    SELECT c.worker, c.at_ms, c.target,
           CASE WHEN EXISTS (SELECT 1 FROM scanned s WHERE s.worker = c.worker AND s.at_ms = c.at_ms AND c.target IN ('', s.target))
                THEN 1 ELSE 0 END AS hit_a_read
    FROM corrected c WHERE c.kind = 'void'
),
counted AS (
    SELECT worker, at_ms, 0 AS correction, station, n, id, by_crew, target
    FROM scanned s
    WHERE NOT EXISTS (SELECT 1 FROM voids v WHERE v.worker = s.worker AND v.at_ms = s.at_ms AND v.target IN ('', s.target))
    UNION ALL
    SELECT worker, at_ms, 1, '', 0, target, 0, target
    FROM corrected c JOIN month_span ON at_ms >= since_ms
    WHERE kind = 'add'
      AND NOT EXISTS (SELECT 1 FROM voids v WHERE v.worker = c.worker AND v.at_ms = c.at_ms AND v.hit_a_read = 0 AND v.target IN ('', c.target))
),
steps AS (
    SELECT worker, at_ms, by_crew, target, (at_ms / 1000 + east) / 86400 AS day, id,
           ROW_NUMBER() OVER (PARTITION BY worker ORDER BY at_ms, correction, station, n, id) AS k
    FROM counted CROSS JOIN month_span
)
SELECT * FROM steps;

CREATE TEMPORARY TABLE month_bookings AS
WITH RECURSIVE
-- Whether an entry counts depends on what its worker is on then: a crew's
-- counts for who is on something since the same day, and clocking on to what
-- one is on already does nothing.
fold AS (
    SELECT worker, k, at_ms, target, CASE WHEN by_crew = 0 THEN 1 ELSE 0 END AS counts,
           CASE WHEN by_crew = 0 THEN target ELSE substr(target, 1, 0) END AS is_on, at_ms AS on_ms, day AS on_day
    FROM month_steps WHERE k = 1
    UNION ALL
    SELECT s.worker, s.k, s.at_ms, s.target, v.counts,
           CASE WHEN v.counts = 1 THEN s.target ELSE f.is_on END,
           CASE WHEN v.counts = 1 THEN s.at_ms ELSE f.on_ms END,
           CASE WHEN v.counts = 1 THEN s.day ELSE f.on_day END
    FROM fold f
    JOIN month_longest ON 1 = 1
    JOIN month_steps s ON s.worker = f.worker AND s.k = f.k + 1
    JOIN (SELECT 0 AS counts UNION ALL SELECT 1) v ON v.counts =
        CASE WHEN s.by_crew = 1 AND (f.is_on IN ('', 'off') OR f.on_day <> s.day OR s.at_ms - f.on_ms > max_ms) THEN 0
             WHEN s.target <> 'off' AND f.is_on = s.target AND s.at_ms - f.on_ms <= max_ms THEN 0
             ELSE 1 END
),
bookings AS (
    SELECT worker, at_ms, target, LEAD(at_ms) OVER (PARTITION BY worker ORDER BY k) AS next_ms
    FROM fold WHERE counts = 1
),
-- What came too late to be believed ends with the shift, or at the cap.
shift_ends AS (
    SELECT b.worker, b.at_ms, b.target, b.next_ms, w.shift, b.at_ms + cap_ms AS cap_end,
           COALESCE(
               (SELECT ((b.at_ms / 1000 + east) / 86400 * 86400 + h.end_minute * 60 - east) * 1000 FROM shifts h
                WHERE h.shift = w.shift AND h.weekday = ((b.at_ms / 1000 + east) / 86400 + 2) % 7 + 1 AND h.end_minute <= h.start_minute
                  AND b.at_ms < ((b.at_ms / 1000 + east) / 86400 * 86400 + h.end_minute * 60 - east) * 1000),
               (SELECT ((b.at_ms / 1000 + east) / 86400 * 86400 - east +
                        60 * CASE WHEN h.end_minute <= h.start_minute THEN h.end_minute + 1440 ELSE h.end_minute END) * 1000 FROM shifts h
                WHERE h.shift = w.shift AND h.weekday = ((b.at_ms / 1000 + east) / 86400 + 3) % 7 + 1)) AS shift_end,
           CASE WHEN b.next_ms - b.at_ms > max_ms THEN 1 ELSE 0 END AS provisional
    FROM bookings b JOIN workers w ON w.number = b.worker CROSS JOIN month_span CROSS JOIN month_longest
    WHERE b.target <> 'off' AND b.next_ms IS NOT NULL
),
ended AS (
    SELECT worker, shift, target, at_ms / 1000 AS from_s,
           CASE WHEN provisional = 0 OR next_ms < presumed THEN next_ms ELSE presumed END / 1000 AS to_s
    FROM (SELECT worker, shift, target, at_ms, next_ms, provisional,
                 CASE WHEN shift_end > at_ms THEN shift_end ELSE cap_end END AS presumed FROM shift_ends) p
)
SELECT * FROM ended;

CREATE TEMPORARY TABLE month_pieces AS
WITH -- The paid stretches of a day: from one break's end to the next one's start.
break_times AS (
    SELECT b.shift, days.d, days.midnight, days.next_midnight, d.midnight + b.start_minute * 60 AS start_s,
           d.midnight + 60 * CASE WHEN b.end_minute <= b.start_minute THEN b.end_minute + 1440 ELSE b.end_minute END AS end_s
    FROM breaks b
    JOIN month_days d ON b.weekday IN (0, d.weekday)
    JOIN month_days days ON days.d = d.d OR days.d = d.d + 1 AND b.end_minute <= b.start_minute
),
paid_before AS (
    SELECT shift, d, next_midnight, start_s, MAX(end_s) OVER (PARTITION BY shift, d ORDER BY start_s) AS end_s,
           COALESCE(MAX(end_s) OVER (PARTITION BY shift, d ORDER BY start_s ROWS BETWEEN UNBOUNDED PRECEDING AND 1 PRECEDING), midnight) AS free_s,
           ROW_NUMBER() OVER (PARTITION BY shift, d ORDER BY start_s DESC) AS from_last
    FROM break_times
),
paid AS (
    SELECT shift, d, free_s, start_s AS busy_s FROM paid_before
    UNION ALL
    SELECT shift, d, end_s, next_midnight FROM paid_before WHERE from_last = 1
    UNION ALL
    SELECT s.shift, d, midnight, next_midnight
    FROM month_days days CROSS JOIN (SELECT DISTINCT shift FROM workers) s
    WHERE NOT EXISTS (SELECT 1 FROM break_times b WHERE b.shift = s.shift AND b.d = days.d)
),
pieces_cut AS (
    SELECT e.worker, e.target, p.d, CASE WHEN e.from_s > p.free_s THEN e.from_s ELSE p.free_s END AS from_s,
           CASE WHEN e.to_s < p.busy_s THEN e.to_s ELSE p.busy_s END AS to_s
    FROM month_bookings e JOIN paid p ON p.shift = e.shift AND p.free_s < e.to_s AND p.busy_s > e.from_s AND p.free_s < p.busy_s
)
SELECT * FROM pieces_cut;

CREATE TEMPORARY TABLE month_banded AS
WITH -- Pay bands: past the daily limit, then past the weekly one of what is still ordinary.
of_day AS (
    SELECT c.worker, c.target, c.from_s, c.to_s - c.from_s AS seconds, p.date, p.week, p.d, p.is_double, p.on_cost, p.overtime, p.doubled, p.daily, p.weekly,
           CAST(SUM(CASE WHEN p.is_double = 1 THEN 0 ELSE c.to_s - c.from_s END)
                OVER (PARTITION BY c.worker, c.d ORDER BY c.from_s ROWS UNBOUNDED PRECEDING) AS BIGINT) AS day_s
    FROM month_pieces c JOIN month_policy p ON p.d = c.d
    WHERE c.to_s > c.from_s
),
of_week AS (
    SELECT worker, target, from_s, seconds, date, week, d, is_double, on_cost, overtime, doubled, weekly, in_day,
           CAST(SUM(in_day) OVER (PARTITION BY worker, week ORDER BY from_s ROWS UNBOUNDED PRECEDING) AS BIGINT) AS week_s
    FROM (SELECT of_day.*, CASE WHEN is_double = 1 OR day_s - seconds >= daily THEN 0
                                WHEN day_s <= daily THEN seconds ELSE daily - (day_s - seconds) END AS in_day FROM of_day) o
),
banded AS (
    SELECT worker, target, from_s, seconds, date, week, d, is_double, on_cost, overtime, doubled,
           CASE WHEN week_s - in_day >= weekly THEN 0 WHEN week_s <= weekly THEN in_day ELSE weekly - (week_s - in_day) END AS ordinary
    FROM of_week
),
pieces_paid AS (
    SELECT worker, target, from_s, seconds, date, week, d, on_cost, doubled - 1000000 AS extra FROM banded WHERE is_double = 1
    UNION ALL
    SELECT worker, target, from_s, ordinary, date, week, d, on_cost, 0 FROM banded WHERE ordinary > 0
    UNION ALL
    SELECT worker, target, from_s + ordinary, seconds - ordinary, date, week, d, on_cost, overtime - 1000000
    FROM banded WHERE is_double = 0 AND seconds > ordinary
)
SELECT * FROM pieces_paid;

WITH RECURSIVE
-- Running rounding over the worker-week. A second at a rate in millionths is
-- 100 / (3600 × 10⁶) cents = 1 / (36 × 10⁶); shares take another 10⁶.
rated AS (
    SELECT p.worker, p.week, p.from_s, p.seconds, p.d, p.on_cost, p.extra, j.job, j.stage, j.purpose, j.rush, p.seconds *
           COALESCE((SELECT rate FROM rates r WHERE r.worker = p.worker AND r.from_date <= p.date ORDER BY r.from_date DESC LIMIT 1), 0) AS pay,
           CASE WHEN j.job IS NULL THEN 0 ELSE p.seconds *
           COALESCE((SELECT rate FROM overheads o WHERE o.stage = j.stage AND o.from_date <= p.date ORDER BY o.from_date DESC LIMIT 1), 0) END AS absorbed
    FROM month_banded p LEFT JOIN jobs j ON 'job ' || j.job = p.target
),
exact AS (
    SELECT worker, from_s, seconds, d, job, stage, purpose, rush,
           CAST(SUM(pay) OVER so_far AS BIGINT) AS base_c, pay AS base_x,
           CAST(SUM(pay * on_cost) OVER so_far AS BIGINT) AS on_cost_c, pay * on_cost AS on_cost_x,
           CAST(SUM(pay * extra) OVER so_far AS BIGINT) AS premium_c, pay * extra AS premium_x,
           CAST(SUM(absorbed) OVER so_far AS BIGINT) AS overhead_c, absorbed AS overhead_x
    FROM rated
    WINDOW so_far AS (PARTITION BY worker, week ORDER BY from_s ROWS UNBOUNDED PRECEDING)
),
priced AS (
    SELECT worker, from_s, seconds, job, stage, purpose, rush,
           (base_c + 18000000) / 36000000 - (base_c - base_x + 18000000) / 36000000 AS base,
           (on_cost_c + 18000000000000) / 36000000000000 - (on_cost_c - on_cost_x + 18000000000000) / 36000000000000 AS on_cost,
           (premium_c + 18000000000000) / 36000000000000 - (premium_c - premium_x + 18000000000000) / 36000000000000 AS premium,
           (overhead_c + 18000000) / 36000000 - (overhead_c - overhead_x + 18000000) / 36000000 AS overhead
    FROM exact JOIN month_span ON d BETWEEN first_day AND last_day
),

-- A shared job's hulls and weights, letter by letter.
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
amounts AS (
    SELECT worker, from_s, 1 AS part, job, stage, purpose, 'labour' AS element, base AS amount, seconds FROM priced WHERE job IS NOT NULL
    UNION ALL
    SELECT worker, from_s, 2, job, stage, purpose, 'labour', on_cost, 0 FROM priced WHERE job IS NOT NULL
    UNION ALL
    SELECT worker, from_s, 3, job, stage, purpose, 'labour', premium, 0 FROM priced WHERE job IS NOT NULL AND rush
    UNION ALL
    SELECT worker, from_s, 4, job, stage, purpose, 'overhead', overhead, 0 FROM priced WHERE job IS NOT NULL
),
-- Largest remainder; ties go to the earlier share.
dealt AS (
    SELECT s.hull, a.stage, a.element, a.purpose, a.amount * s.weight / s.all_weights AS amount, a.seconds * s.weight / s.all_weights AS seconds,
           a.amount - CAST(SUM(a.amount * s.weight / s.all_weights) OVER one AS BIGINT) AS cents_left,
           a.seconds - CAST(SUM(a.seconds * s.weight / s.all_weights) OVER one AS BIGINT) AS seconds_left,
           ROW_NUMBER() OVER (PARTITION BY a.worker, a.from_s, a.part ORDER BY a.amount * s.weight % s.all_weights DESC, s.place) AS cent_turn,
           ROW_NUMBER() OVER (PARTITION BY a.worker, a.from_s, a.part ORDER BY a.seconds * s.weight % s.all_weights DESC, s.place) AS second_turn
    FROM amounts a JOIN hull_shares s ON s.job = a.job
    WINDOW one AS (PARTITION BY a.worker, a.from_s, a.part)
)
SELECT hull, stage, element, purpose, CAST(SUM(seconds + CASE WHEN second_turn <= seconds_left THEN 1 ELSE 0 END) AS BIGINT) AS seconds,
       CAST(SUM(amount + CASE WHEN cent_turn <= cents_left THEN 1 ELSE 0 END) AS BIGINT) AS amount
FROM dealt
GROUP BY hull, stage, element, purpose
UNION ALL
SELECT '', '', 'labour', '', CAST(SUM(CASE WHEN job IS NULL THEN seconds ELSE 0 END) AS BIGINT),
       CAST(SUM(CASE WHEN job IS NULL THEN base + on_cost + premium WHEN rush THEN 0 ELSE premium END) AS BIGINT)
FROM priced
ORDER BY 1, 2, 3, 4
