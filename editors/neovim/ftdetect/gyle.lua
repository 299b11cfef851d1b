vim.filetype.add({ extension = { gyle = 'gyle' } })
