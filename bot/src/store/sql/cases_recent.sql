-- A list shows nothing of a case's body: it stays where it is.
-- $1 platform, $2 numbers below this one, $3 limit
SELECT
    cases.id, cases.number, cases.source, cases.person_id, cases.room_id, cases.thread_id, cases.lift,
    cases.state, cases.opened_at, cases.updated_at, cases.version, '{}' AS body,
    lifters.display_name
FROM cases
LEFT JOIN lifters ON lifters.source = cases.source AND lifters.person_id = cases.person_id
WHERE cases.source = $1 AND cases.number < $2
ORDER BY cases.number DESC
LIMIT $3
