package findings

var transferChecks = map[string]func(*scene){}
