-- $2 pattern: the person's id in quotation marks
DELETE FROM quarantine WHERE source = $1 AND body LIKE $2 ESCAPE '\'
