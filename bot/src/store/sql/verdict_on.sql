SELECT case_id, event_id, at, coach_source, coach_person, edition, body
FROM verdicts
WHERE case_id = $1 AND event_id = $2
