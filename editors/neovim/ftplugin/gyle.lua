vim.bo.commentstring = '# %s'
vim.bo.comments = ':#'
vim.bo.expandtab = true
vim.bo.shiftwidth = 2
vim.bo.autoindent = true
vim.b.undo_ftplugin = 'setlocal commentstring< comments< expandtab< shiftwidth< autoindent<'
-- Without the compiled grammar there are the server's colours, or none.
pcall(vim.treesitter.start, 0, 'gyle')
