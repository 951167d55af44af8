package findings

var airChecks = map[string]func(*scene){}
