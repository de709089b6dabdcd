SELECT case_id, event_id, at, coach_source, coach_person, edition, body
FROM verdicts
WHERE case_id = $1
ORDER BY at DESC, event_id
LIMIT 1
