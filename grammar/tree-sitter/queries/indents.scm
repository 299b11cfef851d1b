(block) @indent.begin
(block (header) @indent.branch)
