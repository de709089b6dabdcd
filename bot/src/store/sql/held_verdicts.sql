SELECT cases.number AS case_number, verdicts.event_id, verdicts.at, verdicts.coach_person, verdicts.edition, verdicts.body
FROM cases JOIN verdicts ON verdicts.case_id = cases.id
WHERE cases.source = $1 AND cases.person_id = $2
ORDER BY verdicts.at LIMIT $3
