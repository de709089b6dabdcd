-- $1 id, $2 the version it was read with, $3 body, $4 stage
UPDATE cases SET body = $3, trimmed = $4, version = version + 1 WHERE id = $1 AND version = $2
