package handlers

import (
	"maps"
	"strings"

	"hulltally/costing/variance"
)

var readsOperation = &operation{
	id: "takeReads", summary: "Record reads of a station.",
	about: "One read, or an array of up to 1000. The answer comes once they are durable: one for one, an array for an array, in the same order. " +
		"A read that was recorded before is answered as it was then. If one read of an array is not well formed, nothing is recorded.",
	parameters: clockHeader(),
	request:    oneOf(ref("Read"), object{"type": "array", "items": ref("Read"), "maxItems": mostReads}),
	examples: object{"one": object{"value": object{
		"id": "6f1c2a34-0b5d-4e6f-8a90-1b2c3d4e5f60", "n": 17, "at": "2026-03-02T07:00:00+01:00", "payload": "J00K4X",
	}}},
	answers:  map[string]object{"application/json": oneOf(ref("Answer"), list(ref("Answer")))},
	refusals: []int{422, 503},
}

// clockHeader carries the station's own clock; the answer bears the server's.
func clockHeader() []object {
	return []object{{
		"name": sentHeader, "in": "header", "schema": object{"type": "string", "format": "date-time"},
		"description": "The sender's clock as it sends. Where it is more than " + clockError.String() + " off, the reads are kept and flagged. The answer bears " +
			timeHeader + ", the server's clock.",
	}}
}

var floorOperation = &operation{
	id: "stationFloor", summary: "Who is on what, the longest first.",
	about: "At a clock station those who clocked on there; at a stores station everybody at its place. Never money.",
	answers: map[string]object{"application/json": closed(object{
		"at": object{"type": "string", "format": "date-time"},
		"rows": list(closed(object{
			"worker": text1(), "name": text1(), "kind": object{"enum": []string{"job", "indirect"}}, "key": text1(), "doing": text1(),
			"station": text1(), "since": object{"type": "string", "format": "date-time"},
		}, "worker", "name", "kind", "key", "doing", "station", "since")),
	}, "at", "rows")},
	refusals: []int{404},
}

var enrolOperation = &operation{
	id: "enrol", summary: "Get a station's key for a short-lived code.",
	about:   "The code is made by an owner or team leader on the page of stations. It works once, within ten minutes; the key is given here and never again.",
	request: closed(object{"code": object{"type": "string", "examples": []string{"ABCD-2345"}}}, "code"),
	answers: map[string]object{"application/json": closed(object{
		"station": text1(), "key": text1(),
	}, "station", "key")},
	refusals: []int{403, 422},
}

var stationOperation = &operation{
	id: "thisStation", summary: "What the station of the key is.",
	answers: map[string]object{"application/json": closed(object{
		"station": text1(), "name": text1(), "kind": object{"enum": []string{"clock", "stores"}}, "place": object{"enum": []string{"ashore", "afloat"}},
		"scan_gap": object{"type": "integer", "description": "Seconds without a read after which a sentence is over."},
		"cards":    list(closed(object{"kind": text1(), "key": text1(), "payload": text1()}, "kind", "key", "payload")),
	}, "station", "name", "kind", "place", "scan_gap", "cards")},
	refusals: []int{404},
}

var reportOperation = &operation{
	id: "report", summary: "A report.",
	about: "Which reports, and whether with money, depends on the role of who signed in. Of cost, margin, stock and mass a period means the figures " +
		"as they stood at its end; of hours, ties and month it means what is dated in it.",
	parameters: []object{
		{"name": "name", "in": "path", "required": true, "schema": object{"enum": ReportNames}},
		query("hull", "Only this hull.", object{"type": "string"}),
		query("period", "A month.", object{"type": "string", "pattern": "^[0-9]{4}-[0-9]{2}$"}),
		query("at", "As of this instant: what had happened by then, as known now.", object{"type": "string", "format": "date-time"}),
		query("lot", "Of a trace: only this lot.", object{"type": "string"}),
		query("batch", "Of a trace: only lots of this supplier's batch.", object{"type": "string"}),
		query("as", "The form; an Accept header of the type does the same.", object{"enum": []string{"json", "csv", "xlsx"}, "default": "json"}),
	},
	answers: map[string]object{
		"application/json": anyOfReports(),
		"text/csv":         {"type": "string"},
		xlsxType:           {"type": "string", "format": "binary"},
	},
	refusals: []int{404, 422},
}

var openAPIOperation = &operation{
	id: "openAPI", summary: "This description.",
	answers: map[string]object{"application/json": {"type": "object"}},
}

func query(name, about string, schema object) object {
	return object{"name": name, "in": "query", "description": about, "schema": schema}
}

func text1() object { return object{"type": "string"} }

// closed is an object that has these properties and no others.
func closed(properties object, required ...string) object {
	o := object{"type": "object", "properties": properties, "additionalProperties": false}
	if required != nil {
		o["required"] = required
	}
	return o
}

func schemas() object {
	all := object{
		"Read": closed(object{
			"id":      object{"type": "string", "format": "uuid", "description": "Made by the sender; the same again does no harm."},
			"station": object{"type": "string", "description": "If given, that of the key."},
			"n":       object{"type": "integer", "minimum": 0, "maximum": 1 << 53, "description": "The station's own count."},
			"at":      object{"type": "string", "format": "date-time"},
			"payload": object{"type": "string", "maxLength": 4000, "description": "What the scanner read."},
		}, "id", "n", "at", "payload"),
		"Answer": closed(object{
			"id":      object{"type": "string", "format": "uuid"},
			"outcome": object{"enum": []string{"done", "waiting", "ignored", "refused"}},
			"code":    object{"type": "string", "description": "A stable word for the answer, for screens in other languages."},
			"say":     object{"type": "string", "description": "For the station's screen."},
			"needs":   object{"type": "array", "items": text1(), "description": "Kinds of codes that may come next."},
			"heard":   ref("Heard"),
			"hold":    ref("Hold"),
		}, "id", "outcome", "code", "say", "needs", "heard"),
		"Heard": closed(object{
			"kind":     object{"type": "string", "description": "Of the code; measure for a quantity, empty for what is not known."},
			"key":      object{"type": "string", "description": "Which check or problem."},
			"name":     object{"type": "string", "description": "What people call it; empty where a language has its own word."},
			"about":    object{"type": "string", "description": "The stage of a job, the item of a lot."},
			"unit":     object{"type": "string", "description": "The stock unit of a lot."},
			"language": object{"type": "string", "description": "What the worker of a badge is spoken to in (ISO 639-1); absent: as the station is set."},
		}, "kind", "name"),
		"Hold": closed(object{
			"kind":  object{"enum": []string{"demould", "post-cure", "paint", "other"}},
			"job":   object{"type": "string", "description": "That has to stand."},
			"about": object{"type": "string", "description": "Its stage and part."},
			"begun": object{"type": "boolean", "description": "It is signed off. If not, how long is not known."},
			"until": object{"type": "string", "format": "date-time"},
			"left":  object{"type": "integer", "description": "Seconds."},
		}, "kind", "job", "about", "begun", "left"),
		"ReadFault": closed(object{"index": object{"type": "integer", "minimum": 0}, "field": text1(), "detail": text1()}, "index", "field", "detail"),
		"Problem": object{
			"type": "object",
			"properties": object{
				"type": text1(), "title": text1(), "status": object{"type": "integer"}, "detail": text1(), "request_id": text1(),
				"index": object{"type": "integer", "description": "Of the first read at fault."}, "field": text1(),
				"errors": list(ref("ReadFault")),
			},
			"required": []string{"type", "title", "status", "detail", "request_id"},
		},
	}
	maps.Copy(all, deskSchemas())
	for name, columns := range reportColumns {
		all[reportSchema(name)] = reportObject(name, columns)
	}
	return all
}

func reportSchema(name string) string { return strings.ToUpper(name[:1]) + name[1:] + "Report" }

func anyOfReports() object {
	var all []object
	for _, name := range ReportNames {
		all = append(all, ref(reportSchema(name)))
	}
	return oneOf(all...)
}

// reportColumns are the members of a report's rows: text, s for whole seconds,
// and ? after what may be null or, as money, not be shown to a role.
var reportColumns = map[string]string{
	"cost":   "hull stage element purpose seconds:s estimate allowed actual variances:v",
	"margin": "hull price changes estimate actual to_complete at_completion margin margin_share? progress?",
	"hours":  "worker week seconds:b base? on_cost? premium? jobs:s indirect:s provisional:s",
	"stock":  "item lot received issued returned scrapped difference closing value?",
	"mass":   "hull stage kg budget_kg? fibre_fraction?",
	"ties":   "tie left right difference",
	"month": "hull cost_month cost_to_date to_complete progress? revenue_month revenue_to_date profit_month profit_to_date billed " +
		"contract_asset contract_liability loss_provision cost_of_sales work_in_progress revenue_method",
	"resin":   useColumns,
	"fibre":   useColumns,
	"core":    useColumns,
	"mixes":   "hull stage job part resins hardener resin_kg hardener_kg parts_stated? parts_achieved? off? question",
	"factors": "item stage basis hulls:s suggested median low high allowed enough seen",
	"cutting": "hulls stage job part item unit worker lots:s plies:s? issued returned waste offcut_share? job_share?",
	"laminates": "hulls stage job part done fibre_kg matrix_kg fibre_fraction? volume_fraction? process low? high? plies:s? thickness_mm? ask question " +
		"standing",
	"unweighed": "hull stage item unit quantity",
	"trace":     "item lot supplier_batch place hull stage job part worker date quantity waste unit received expires",
	"order":     "item unit week need from_stock to_order value? hulls",
}

const useColumns = "hull stage purpose item unit estimate_net expected_net net drawn waste known factor_allowed? factor_achieved? factor_drawn? over? " +
	"over_value? cost?"

func reportObject(name, columns string) object {
	properties, required := object{}, []string{}
	for column := range strings.FieldsSeq(columns) {
		column, may := strings.CutSuffix(column, "?")
		column, kind, _ := strings.Cut(column, ":")
		properties[column] = cellSchema(kind, may)
		if !may {
			required = append(required, column)
		}
	}
	return closed(object{
		"report": object{"const": name}, "at": object{"type": "string", "format": "date-time"}, "currency": text1(), "period": text1(),
		"note": object{"type": "string", "description": "What has to be known to read it."},
		"rows": list(closed(properties, required...)),
	}, "report", "at", "currency", "rows")
}

func cellSchema(kind string, may bool) object {
	seconds := object{"type": "integer"}
	switch kind {
	case "s":
		if may {
			return object{"type": []string{"integer", "null"}}
		}
		return seconds
	case "b":
		return closed(object{"ordinary": seconds, "overtime": seconds, "double": seconds}, "ordinary", "overtime", "double")
	case "v":
		causes := object{}
		for _, c := range variance.Causes {
			causes[string(c)] = text1()
		}
		return closed(causes)
	}
	if may {
		return object{"type": []string{"string", "null"}}
	}
	return text1()
}
