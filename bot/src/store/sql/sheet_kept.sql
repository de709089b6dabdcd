-- The cases of a sheet that was kept, in running order, as they stand now.
-- $1 the sheet, $2 only sheets made before this count as earlier ones. The rest as in sheet_waiting.
SELECT
    queue.case_id, queue.urgency, queue.reasons, queue.since, queue.promised, queue.minutes,
    queue.taken_source, queue.taken_person, queue.taken_until,
    cases.id, cases.number, cases.source, cases.person_id, cases.room_id, cases.thread_id, cases.lift,
    cases.state, cases.opened_at, cases.updated_at, cases.version, cases.body,
    lifters.display_name,
    (
        SELECT MIN(sheet_cases.made_at)
        FROM sheet_cases
        WHERE sheet_cases.case_id = cases.id
          AND sheet_cases.made_at < $2
          AND sheet_cases.made_at > COALESCE((
              SELECT MAX(entries.at) FROM entries
              WHERE entries.case_id = cases.id AND entries.kind = 'coach'
          ), 0)
    ) AS carried_since,
    (
        SELECT challenges.event_id FROM challenges
        WHERE challenges.case_id = cases.id AND challenges.state IN ('open', 'closed', 'revealed')
        ORDER BY challenges.number DESC LIMIT 1
    ) AS agreed_event,
    (
        SELECT challenges.number FROM challenges
        WHERE challenges.case_id = cases.id AND challenges.state IN ('open', 'closed', 'revealed')
        ORDER BY challenges.number DESC LIMIT 1
    ) AS agreed_number
FROM sheet_cases AS kept
JOIN cases ON cases.id = kept.case_id
LEFT JOIN queue ON queue.case_id = cases.id
LEFT JOIN lifters ON lifters.source = cases.source AND lifters.person_id = cases.person_id
WHERE kept.sheet_id = $1
ORDER BY kept.place
