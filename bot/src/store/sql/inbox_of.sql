SELECT seq, body FROM inbox WHERE source = $1 AND id = $2 AND body <> '{}'
