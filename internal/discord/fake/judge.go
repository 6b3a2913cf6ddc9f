package fake

import "encoding/json"

// JudgeAnswer checks the body of a first answer by schema and rules, as the
// server does, without a server.
func JudgeAnswer(raw []byte, files []File) []string {
	if err := CheckOutbound("InteractionCallback", raw); err != nil {
		return []string{err.Error()}
	}
	var body map[string]any
	if err := json.Unmarshal(raw, &body); err != nil {
		return []string{err.Error()}
	}
	switch number(body["type"]) {
	case Message, Update:
		return judgeMessage(object(body["data"]), files)
	case Form:
		return judgeForm(object(body["data"]))
	}
	return nil
}

// JudgeCommands checks a list of commands by schema and rules.
func JudgeCommands(raw []byte) []string {
	if err := CheckOutbound("CommandBulkOverwrite", raw); err != nil {
		return []string{err.Error()}
	}
	var all []any
	if err := json.Unmarshal(raw, &all); err != nil {
		return []string{err.Error()}
	}
	return judgeCommands(all)
}
