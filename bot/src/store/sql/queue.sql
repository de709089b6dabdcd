-- $1 now, $2 milliseconds of waiting that move a case up one class, $3 limit.
-- Waiting never lifts a case above emergency words: class 0 is theirs alone.
SELECT
    queue.case_id, queue.urgency, queue.reasons, queue.since, queue.promised, queue.minutes,
    queue.taken_source, queue.taken_person, queue.taken_until,
    cases.id, cases.number, cases.source, cases.person_id, cases.room_id, cases.thread_id, cases.lift,
    cases.state, cases.opened_at, cases.updated_at, cases.version, cases.body,
    lifters.display_name
FROM queue
JOIN cases ON cases.id = queue.case_id
LEFT JOIN lifters ON lifters.source = cases.source AND lifters.person_id = cases.person_id
ORDER BY
    CASE
        WHEN queue.urgency <= 1 OR queue.since >= $1 THEN queue.urgency
        WHEN queue.urgency - ($1 - queue.since) / $2 < 1 THEN 1
        ELSE queue.urgency - ($1 - queue.since) / $2
    END,
    queue.promised IS NULL,
    queue.promised,
    queue.since,
    queue.minutes,
    queue.case_id
LIMIT $3
