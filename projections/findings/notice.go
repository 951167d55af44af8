package findings

var noticeChecks = map[string]func(*scene){}
