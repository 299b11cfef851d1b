(file) @local.scope
(let name: (identifier) @local.definition.var)
(header name: (identifier) @local.definition.var)
(identifier) @local.reference
