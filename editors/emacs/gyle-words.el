;;; gyle-words.el --- The words of the language -*- lexical-binding: t -*-

;; Made from the tables of the language by a test; not edited by hand.

;;; Code:

(defconst gyle-words-blocks
  '("brewhouse" "addition" "ferment" "package" "tasting" "expect" "liquor" "recipe" "chill" "grist" "notes"
    "pitch" "split" "stand" "steep" "style" "sugar" "water" "yeast" "boil" "cook" "gyle" "malt" "mash" "sour"
    "hop" "let" "use")
  "Words that open a block.")

(defconst gyle-words-entries
  '("refractometer factor" "dry hop absorption" "fermenter capacity" "thermometer offset" "grain temperature"
    "tun heat capacity" "fermenter rating" "grain absorption" "diastatic power" "kettle capacity"
    "mash dead space" "mash efficiency" "fermentability" "fermenter loss" "first runnings" "hop absorption"
    "mash thickness" "packaging loss" "boiling point" "last runnings" "flocculation" "stand factor"
    "tun capacity" "attenuation" "bicarbonate" "carbonation" "evaporation" "gelatinises" "steep yield"
    "temperature" "alkalinity" "appearance" "boil start" "chloramine" "cohumulone" "confidence" "hydrometer"
    "keg rating" "allergens" "brewhouse" "carbonate" "customary" "diastatic" "elevation" "fermenter"
    "free rise" "harvested" "heat loss" "magnesium" "max share" "mouthfeel" "no sparge" "post-boil"
    "potassium" "tolerance" "trub loss" "unit mass" "viability" "allergen" "based on" "boil end" "chloride"
    "chlorine" "currency" "flameout" "hardness" "hops out" "mash out" "moisture" "phenolic" "pre-boil"
    "pressure" "reported" "runnings" "strength" "ambient" "calcium" "chilled" "density" "extract" "flavour"
    "gravity" "instead" "licence" "mash in" "mash ph" "nitrate" "package" "purpose" "species" "starter"
    "sulfate" "version" "bottle" "brewer" "buffer" "colour" "decoct" "heater" "infuse" "iodine" "liquor"
    "origin" "oxygen" "packed" "return" "sodium" "source" "sparge" "stored" "strike" "timing" "top up"
    "volume" "alias" "alpha" "aroma" "batch" "blend" "cells" "grain" "group" "label" "match" "pitch" "price"
    "raise" "score" "spund" "stock" "store" "style" "until" "weigh" "beta" "boil" "cask" "cool" "crop" "date"
    "dose" "form" "from" "hold" "ions" "iron" "kind" "like" "link" "loss" "lost" "mash" "name" "next" "note"
    "rack" "rate" "rest" "role" "room" "temp" "abv" "add" "can" "ibu" "keg" "let" "lot" "oil" "tag" "at" "fg"
    "og" "ph")
  "Words that an entry begins with.")

(defconst gyle-words-properties
  '("refractometer factor" "dry hop absorption" "fermenter capacity" "thermometer offset" "grain temperature"
    "tun heat capacity" "fermenter rating" "grain absorption" "diastatic power" "kettle capacity"
    "mash dead space" "mash efficiency" "fermentability" "fermenter loss" "hop absorption" "mash thickness"
    "packaging loss" "boiling point" "flocculation" "stand factor" "tun capacity" "attenuation" "bicarbonate"
    "carbonation" "evaporation" "gelatinises" "steep yield" "temperature" "alkalinity" "chloramine"
    "cohumulone" "confidence" "hydrometer" "keg rating" "carbonate" "diastatic" "elevation" "harvested"
    "heat loss" "magnesium" "max share" "potassium" "tolerance" "trub loss" "unit mass" "viability" "allergen"
    "chloride" "chlorine" "hardness" "moisture" "phenolic" "reported" "residual" "strength" "ambient"
    "calcium" "density" "extract" "mash ph" "nitrate" "purpose" "species" "sulfate" "buffer" "colour" "heater"
    "origin" "packed" "sodium" "source" "stored" "timing" "alias" "alpha" "cells" "glass" "grain" "group"
    "price" "stock" "beta" "crop" "dose" "form" "ions" "iron" "kind" "like" "loss" "name" "note" "role" "room"
    "abv" "ibu" "lot" "oil" "fg" "og" "ph")
  "Fields that may stand in brackets.")

(defconst gyle-words-units
  '("imperial fluid ounces" "imperial fluid ounce" "imperial tablespoons" "imperial tablespoon"
    "million cells/mL/°P" "imperial teaspoons" "million cells/mL/P" "imperial teaspoon" "imperial barrels"
    "imperial gallons" "imperial barrel" "imperial gallon" "imperial quarts" "us fluid ounces"
    "imperial pints" "imperial quart" "us fluid ounce" "us tablespoons" "volumes of CO2" "billion cells"
    "imperial pint" "mg/L as CaCO3" "mg/L as CaCO₃" "million cells" "million/mL/°P" "us tablespoon"
    "billion cell" "cubic meters" "cubic metres" "fluid ounces" "kilocalories" "milligrammes" "million cell"
    "million/mL/P" "ppm as CaCO3" "ppm as CaCO₃" "us teaspoons" "cubic meter" "cubic metre" "fluid ounce"
    "hectoliters" "hectolitres" "kilocalorie" "kilogrammes" "kilopascals" "milligramme" "milliliters"
    "millilitres" "tablespoons" "us teaspoon" "volumes CO2" "centigrade" "fahrenheit" "g/L of CO2"
    "hectoliter" "hectolitre" "kilogramme" "kilojoules" "kilopascal" "mg/L CaCO3" "milligrams" "milliliter"
    "millilitre" "millimoles" "tablespoon" "us barrels" "us gallons" "imp fl oz" "kilograms" "kilojoule"
    "kilowatts" "milligram" "millimole" "ppm CaCO3" "teaspoons" "us barrel" "us gallon" "us quarts" "bn cells"
    "imp floz" "imp tbsp" "kilogram" "kilowatt" "lovibond" "per cent" "teaspoon" "us fl oz" "us pints"
    "us quart" "vols CO2" "barrels" "celsius" "g/L CO2" "g/L CO₂" "gallons" "grammes" "imp bbl" "imp gal"
    "imp tsp" "impfloz" "imptbsp" "kelvins" "lintner" "minutes" "packets" "percent" "seconds" "tablets"
    "us floz" "us pint" "us tbsp" "vol CO2" "vol CO₂" "volumes" "barrel" "fl. oz" "gallon" "gramme" "imp pt"
    "imp qt" "impbbl" "impgal" "imptsp" "kelvin" "liters" "litres" "meters" "metres" "minute" "ounces"
    "packet" "pounds" "quarts" "second" "tablet" "us bbl" "us gal" "us tsp" "usfloz" "ustbsp" "% w/v" "L°/kg"
    "cells" "clark" "fl oz" "grams" "hours" "imppt" "impqt" "kilos" "liter" "litre" "meter" "metre" "ounce"
    "packs" "pints" "plato" "pound" "quart" "us pt" "us qt" "usbbl" "usgal" "ustsp" "watts" "weeks" "%w/v"
    "bars" "bbls" "brix" "days" "each" "feet" "floz" "foot" "gals" "gram" "hour" "ibus" "kcal" "kilo" "mins"
    "mmol" "pack" "pint" "psig" "secs" "tbsp" "uspt" "usqt" "vols" "watt" "week" "AED" "AFN" "ALL" "AMD" "AOA"
    "ARS" "AUD" "AWG" "AZN" "BAM" "BBD" "BDT" "BGN" "BHD" "BIF" "BMD" "BND" "BOB" "BRL" "BSD" "BTN" "BWP"
    "BYN" "BZD" "CAD" "CDF" "CHF" "CLP" "CNY" "COP" "CRC" "CUP" "CVE" "CZK" "DJF" "DKK" "DOP" "DZD" "EBC"
    "EGP" "ERN" "ETB" "EUR" "FJD" "FKP" "GBP" "GEL" "GHS" "GIP" "GMD" "GNF" "GTQ" "GYD" "HKD" "HNL" "HTG"
    "HUF" "IBU" "IDR" "ILS" "INR" "IQD" "IRR" "ISK" "JMD" "JOD" "JPY" "KES" "KGS" "KHR" "KMF" "KPW" "KRW"
    "KWD" "KYD" "KZT" "LAK" "LBP" "LKR" "LRD" "LSL" "LYD" "MAD" "MDL" "MGA" "MKD" "MMK" "MNT" "MOP" "MRU"
    "MUR" "MVR" "MWK" "MXN" "MYR" "MZN" "NAD" "NGN" "NIO" "NOK" "NPR" "NZD" "OMR" "PAB" "PEN" "PGK" "PHP"
    "PKR" "PLN" "PYG" "QAR" "RON" "RSD" "RUB" "RWF" "SAR" "SBD" "SCR" "SDG" "SEK" "SGD" "SHP" "SLE" "SOS"
    "SRD" "SRM" "SSP" "STN" "SVC" "SYP" "SZL" "THB" "TJS" "TMT" "TND" "TOP" "TRY" "TTD" "TWD" "TZS" "UAH"
    "UGX" "USD" "UYU" "UZS" "VED" "VES" "VND" "VUV" "WST" "XAF" "XCD" "XCG" "XOF" "XPF" "YER" "ZAR" "ZMW"
    "ZWG" "bar" "bbl" "day" "gal" "hrs" "kPa" "kgs" "lbs" "lov" "mEq" "m^3" "min" "ppg" "ppm" "psi" "qts"
    "sec" "tsp" "vol" "wks" "Bx" "WK" "dH" "fH" "ft" "hL" "hr" "kJ" "kW" "kg" "lb" "m3" "mL" "mg" "m³" "oz"
    "pt" "qt" "sg" "%" "C" "F" "K" "L" "P" "W" "d" "g" "h" "m" "s")
  "Spellings of units.")

(provide 'gyle-words)
;;; gyle-words.el ends here
