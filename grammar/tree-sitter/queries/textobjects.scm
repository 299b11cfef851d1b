(block) @class.outer
(block [(entry) (item) (text_fact) (expectation) (condition) (query) (let)] @class.inner)
[(entry) (item) (text_fact) (expectation) (condition) (query) (let)] @statement.outer
(properties) @parameter.outer
[(field) (flag)] @parameter.inner
(comment) @comment.outer
