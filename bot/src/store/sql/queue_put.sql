-- A repeat keeps the higher urgency, the earliest waiting time, the earliest promise and who has
-- taken it.
INSERT INTO queue (
    case_id, urgency, reasons, since, promised, minutes, taken_source, taken_person, taken_until, source
)
VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, COALESCE((SELECT cases.source FROM cases WHERE cases.id = $1), ''))
ON CONFLICT (case_id) DO UPDATE SET
    source = excluded.source,
    urgency = CASE WHEN excluded.urgency < queue.urgency THEN excluded.urgency ELSE queue.urgency END,
    reasons = excluded.reasons,
    since = CASE WHEN excluded.since < queue.since THEN excluded.since ELSE queue.since END,
    promised = CASE
        WHEN queue.promised IS NULL OR excluded.promised < queue.promised THEN excluded.promised
        ELSE queue.promised
    END,
    minutes = excluded.minutes,
    taken_until = CASE WHEN queue.taken_source IS NULL THEN excluded.taken_until ELSE queue.taken_until END,
    taken_person = CASE WHEN queue.taken_source IS NULL THEN excluded.taken_person ELSE queue.taken_person END,
    taken_source = CASE WHEN queue.taken_source IS NULL THEN excluded.taken_source ELSE queue.taken_source END
