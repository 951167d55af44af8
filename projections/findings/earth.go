package findings

var earthChecks = map[string]func(*scene){}
