SELECT case_id, event_id, at, coach_source, coach_person, edition, body
FROM verdicts
ORDER BY at DESC, case_id, event_id
LIMIT $1
