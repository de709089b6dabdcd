-- Cases answered lately on one platform that no earlier sheet has shown since: newest first.
-- $1 platform, $2 only sheets made before this count as earlier ones, $3 answered since, $4 limit.
-- agreed_*: the newest challenge of the case whose text the lifter agreed to and did not take back.
SELECT
    cases.id, cases.number, cases.source, cases.person_id, cases.room_id, cases.thread_id, cases.lift,
    cases.state, cases.opened_at, cases.updated_at, cases.version, cases.body,
    lifters.display_name,
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
FROM cases
LEFT JOIN lifters ON lifters.source = cases.source AND lifters.person_id = cases.person_id
WHERE cases.source = $1
  AND cases.state IN ('practising', 'mended')
  AND cases.updated_at >= $3
  AND NOT EXISTS (SELECT 1 FROM queue WHERE queue.case_id = cases.id)
  AND NOT EXISTS (
      SELECT 1 FROM sheet_cases
      WHERE sheet_cases.case_id = cases.id
        AND sheet_cases.made_at < $2
        AND sheet_cases.made_at >= cases.updated_at
  )
ORDER BY cases.updated_at DESC, cases.number DESC
LIMIT $4
