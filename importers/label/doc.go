// Package label reads the line that a person types from a ball band:
//
//	3 x 50 g / 125 m, 75% wool 25% nylon, superwash, lot F08
//
// The parts may come in any order, each at most once but for fibres and
// finishes. The grammar (ISO/IEC 14977 EBNF; letter case and the number of
// spaces don't matter):
//
//	label   = part, { separator, part } ;
//	separator = "," | ";" | line break ;
//	part    = put-up | fibres | lot | colour | name | packages | count | finish | care ;
//	put-up  = [ whole, times ], [ rough ], quantity, { between, [ rough ], quantity }, [ ")" ], [ "each" ] ;
//	between = "/" | "=" | "per" | "(" | rough ;
//	rough   = "approx" | "about" | "circa" | "ca." | "~" ;
//	times   = "x" | "×" | "*" ;
//	quantity = number, ( unit of mass | unit of length ) ;
//	fibres  = share, { [ "," ], share } ;
//	share   = percent, fibre, [ note ] | fibre, [ note ], [ percent ] ;
//	percent = number, [ "%" ] ;
//	note    = "(", text, ")" ;
//	lot     = ( "lot" | "dye lot" | "dyelot" | "batch" | "dye bath" ), [ "no" | "no." | "#" | ":" ], text ;
//	colour  = ( "colour" | "color" | "col" | "shade" | "colourway" ), [ "no" | "no." | "#" | ":" ], text ;
//	name    = ( "name" | "yarn" ), [ ":" ], text | '"', text, '"' ;
//	packages = [ whole ], [ "part" ], form ;
//	count   = number, [ "/", number ], base | base, number, [ "/", number ] ;
//	finish  = "superwash" | "mercerised" | "singles" | whole, "-ply" | … (Finishes lists them) ;
//	care    = ( "wash" | "care" ), [ ":" ], text | "hand wash" | "machine wash" | number, ( "C" | "°" | "°C" ), [ text, "wash" ] ;
//
// A comma between two digits is a decimal comma, but in a text that a keyword
// begins ("lot 12,75% wool" is two parts) and behind the digits of a word
// ("F08"). A separator inside brackets or quotation marks separates nothing. Quantities
// and counts are those of package measure, fibres those of package fibre. With a mass,
// the put-up is of one package and the number before it says how many.
//
// A put-up has up to four quantities: bands say mass and length in two systems
// of units ("50 g / 1.75 oz / 125 m / 137 yd"). Two of a kind have to agree within
// two per cent; the metric one is kept, and the band's words in a note.
//
// Words are read in the languages of ball bands: fibres as package fibre knows
// them, those for lot, colour, washing and units from memory. Between put-up,
// fibres and a keyword a space will do: "100g 400m merino lot 12".
//
// What is not understood is neither guessed nor dropped: it comes back with
// the column at which it begins.
package label
