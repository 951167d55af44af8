package findings

var foamChecks = map[string]func(*scene){}
