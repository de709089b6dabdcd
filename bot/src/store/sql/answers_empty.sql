-- $1 challenge. Marks that were given stay the members' own; words and answers go.
UPDATE challenge_answers
SET body = '{"causes":[]}', why = '', message_id = NULL,
    state = CASE WHEN mark IS NULL THEN 'withdrawn' ELSE state END
WHERE challenge = $1
