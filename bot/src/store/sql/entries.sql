SELECT case_id, at, kind, who, message_id, text
FROM (
    SELECT seq, case_id, at, kind, who, message_id, text
    FROM entries
    WHERE case_id = $1
    ORDER BY seq DESC
    LIMIT $2
) AS newest
ORDER BY seq
