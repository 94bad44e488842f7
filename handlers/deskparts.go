package handlers

// How the addresses of the stores' desk are described.

func instant1() object { return object{"type": "string", "format": "date-time"} }

func flag1() object { return object{"type": "boolean"} }

func words1(about string) object { return object{"type": "string", "description": about} }

var payloadParameter = []object{{
	"name": "payload", "in": "path", "required": true, "schema": text1(), "description": "What the scanner read of the card or label.",
}}

func deskSchemas() object {
	return object{
		"DeskItem": closed(object{
			"item": text1(), "name": text1(), "unit": words1("The stock unit, of UN/ECE Recommendation 20."),
			"units": object{"type": "array", "items": text1(), "description": "Units that a quantity of it may be given in."},
			"role":  text1(), "net": object{"type": "boolean", "description": "Quantities are read net: the factor leaves the lot on top."},
			"factor": words1("Waste factor, a share of net."), "roll_width_m": text1(), "sheet_m2": text1(), "kg_per_litre": text1(),
			"hardener": words1("The item it is mixed with."), "hardener_parts": words1("Parts of it by weight to 100."),
		}, "item", "name", "unit", "units", "role", "net", "factor"),
		"DeskLot": closed(object{
			"lot": text1(), "payload": text1(), "item": text1(), "remaining": words1("By the book, in the stock unit."), "received": instant1(),
			"expires": object{"type": "string", "format": "date", "description": "The last day it may be used."}, "batch": text1(), "place": text1(),
		}, "lot", "payload", "item", "remaining", "received"),
		"DeskLine": closed(object{
			"item": text1(), "name": text1(), "unit": text1(), "planned": flag1(), "expected": words1("Net with the waste allowance."),
			"issued": words1("What left the lots, less what came back."), "left": text1(), "wasted": text1(),
		}, "item", "name", "unit", "planned", "expected", "issued", "left", "wasted"),
		"DeskDeed": closed(object{
			"id": text1(), "at": instant1(), "outcome": text1(), "code": text1(), "payload": text1(), "kind": text1(), "who": text1(), "job": text1(),
			"lot": text1(), "item": text1(), "name": text1(), "unit": text1(), "quantity": text1(), "undone": flag1(), "reason": text1(),
			"unsaid": words1("The kind of reason that is missing."),
		}, "id", "at", "outcome", "code", "undone"),
	}
}

const deskWho = "For stores stations by key, and for the people of the stores, team leaders and owners. Never a price."

var deskShelfOperation = &operation{
	id: "deskShelf", summary: "What the stores hold.", about: "Lots of an item come in the order they should be used. " + deskWho,
	answers: jsonOf(closed(object{
		"at": instant1(), "day": object{"type": "string", "format": "date"}, "items": list(ref("DeskItem")), "lots": list(ref("DeskLot")),
		"cards": object{"type": "object", "additionalProperties": text1(), "description": "Payloads of the wall cards by kind."},
	}, "at", "day", "items", "lots", "cards")),
	refusals: []int{404},
}

var deskJobOperation = &operation{
	id: "deskJob", summary: "What a job still expects from the stores.", about: deskWho, parameters: payloadParameter,
	answers: jsonOf(closed(object{
		"job": text1(), "payload": text1(), "hulls": text1(), "about": text1(), "factor": text1(), "lines": list(ref("DeskLine")),
	}, "job", "payload", "hulls", "about", "lines")),
	refusals: []int{404},
}

var deskLotOperation = &operation{
	id: "deskLot", summary: "A lot, also when nothing is left of it.", about: deskWho, parameters: payloadParameter,
	answers:  jsonOf(closed(object{"lot": ref("DeskLot"), "item": ref("DeskItem")}, "lot", "item")),
	refusals: []int{404},
}

var deskFindOperation = &operation{
	id: "deskFind", summary: "Look jobs and lots up by words.", about: deskWho,
	parameters: []object{query("words", "All of them have to be in what is found.", text1())},
	answers: jsonOf(closed(object{"rows": list(closed(object{
		"kind": text1(), "key": text1(), "payload": text1(), "about": text1(),
	}, "kind", "key", "payload", "about"))}, "rows")),
	refusals: []int{404, 422},
}

var deskTodayOperation = &operation{
	id: "deskToday", summary: "What was done at a desk on the yard's day, the last first.", about: deskWho,
	parameters: []object{query("station", "Which; of a key its own.", text1())},
	answers:    jsonOf(closed(object{"at": instant1(), "rows": list(ref("DeskDeed"))}, "at", "rows")),
	refusals:   []int{404},
}

// deskFacts describes what a stores station records besides reads.
func deskFacts(id, summary, about string, fields object, required []string, answer object) *operation {
	return &operation{id: id, summary: summary, about: about, request: closed(fields, required...), answers: jsonOf(answer), refusals: []int{404, 409, 422}}
}

func jsonOf(schema object) map[string]object { return map[string]object{"application/json": schema} }

var deskReasonOperation = deskFacts("deskReason", "Say why a lot was used past its date, or written off.",
	"Instant and lot are those of the read it explains. The read counts with or without it; without, somebody will ask.",
	object{"at": instant1(), "lot": words1("Its key, or the payload of its label."), "kind": object{"enum": []string{"expired", "scrap"}}, "reason": text1(), "who": text1()},
	[]string{"at", "lot", "kind", "reason"}, closed(object{"lot": text1()}, "lot"))

var deskPlaceOperation = deskFacts("deskPlace", "Say where a lot was put.", "The last place holds.",
	object{"at": instant1(), "lot": text1(), "place": text1(), "who": text1()},
	[]string{"at", "lot", "place"}, closed(object{"lot": text1()}, "lot"))

var deskCountOperation = deskFacts("deskCount", "Record a count.",
	"Blind: the answer tells nothing of the book. One that is far off is not recorded but asked for again; the second one is, with the first named.",
	object{
		"at": instant1(), "payload": text1(), "quantity": words1("With a unit or without, such as 12.5MTR."), "place": text1(), "who": text1(),
		"first": words1("Of a recount: what was counted before."),
	},
	[]string{"at", "payload", "quantity"}, closed(object{"lot": text1(), "again": flag1()}, "lot", "again"))

var deskGoodsOperation = deskFacts("deskGoods", "Take one lot in.",
	"The item's standard price stands in until the invoice. The same item and instant again is the same lot.",
	object{
		"at": instant1(), "item": text1(), "quantity": words1("With a unit or without."), "expires": object{"type": "string", "description": "A date, or empty."},
		"batch": text1(), "gtin": text1(), "place": text1(), "who": text1(),
	},
	[]string{"at", "item", "quantity"}, closed(object{"lot": text1(), "payload": text1()}, "lot", "payload"))

var deskSupplierOperation = deskFacts("deskSupplier", "Take a supplier's GS1 label apart.",
	"The item is known by its trade number once a lot of it was taken in. What the label doesn't say is empty.",
	object{"text": words1("As the scanner sent it, or the text in brackets under the bars.")}, []string{"text"},
	closed(object{"text": text1(), "gtin": text1(), "item": text1(), "batch": text1(), "expires": text1(), "quantity": text1()},
		"text", "gtin", "item", "batch", "expires", "quantity"))

var deskLabelOperation = &operation{
	id: "deskLabel", summary: "Print a lot's label.", about: "A PDF of one label, which is noted as a print.",
	request:  closed(object{"lot": text1(), "size": object{"enum": []string{"large", "small"}}}, "lot"),
	answers:  map[string]object{"application/pdf": {"type": "string"}},
	refusals: []int{404, 409, 422},
}
