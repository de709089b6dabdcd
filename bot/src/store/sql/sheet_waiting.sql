-- What waits for the coach on one platform, for the review sheet: longest waiting first.
-- $1 platform, $2 only sheets made before this count as earlier ones, $3 limit.
-- carried_since: chosen for an earlier sheet after the coach's last word in the case.
-- agreed_*: the newest challenge of the case whose text the lifter agreed to and did not take back.
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
FROM (
    SELECT waiting.case_id FROM queue AS waiting
    -- Lines of a program of before do not say their platform; their cases do. Not a join: that could be
    -- begun from all cases of the platform.
    WHERE COALESCE(
        NULLIF(waiting.source, ''), (SELECT own.source FROM cases AS own WHERE own.id = waiting.case_id)
    ) = $1
    ORDER BY waiting.since, waiting.case_id
    LIMIT $3
) AS page
JOIN queue ON queue.case_id = page.case_id
JOIN cases ON cases.id = page.case_id
LEFT JOIN lifters ON lifters.source = cases.source AND lifters.person_id = cases.person_id
ORDER BY queue.since, queue.case_id
