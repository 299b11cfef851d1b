;;; gyle-mode.el --- Beer recipes and brewing logs -*- lexical-binding: t -*-

;; Package-Requires: ((emacs "28.1"))
;; SPDX-License-Identifier: MIT OR Apache-2.0

;;; Commentary:

;; A major mode for files that end in `.gyle': colours, comments, outline and menu of blocks.  The language
;; server computes the rest through eglot; the README beside this file says how.

;;; Code:

(require 'gyle-words)

(defgroup gyle nil
  "Beer recipes and brewing logs."
  :group 'languages)

(defcustom gyle-command '("gyle" "lsp")
  "Program and arguments that start the language server."
  :type '(repeat string))

(defun gyle-contact (&rest _)
  "The command of the language server, or an error that says what to do."
  (unless (executable-find (car gyle-command))
    (user-error "%s is not on the PATH; `cargo install --path crates/gyle --locked' puts it there, or set `gyle-command'"
                (car gyle-command)))
  gyle-command)

(defvar gyle-mode-syntax-table
  (let ((table (make-syntax-table)))
    (modify-syntax-entry ?# "<" table)
    (modify-syntax-entry ?\n ">" table)
    (modify-syntax-entry ?\" "\"" table)
    (modify-syntax-entry ?' "w" table)
    (modify-syntax-entry ?- "_" table)
    (modify-syntax-entry ?_ "_" table)
    (modify-syntax-entry ?\\ "." table)
    table)
  "Syntax of a gyle file.")

(defun gyle-mode--syntax-propertize (start end)
  "Keep what a line begins within that line, from START to END: quotes left open, and prose."
  (goto-char start)
  (beginning-of-line)
  (while (< (point) end)
    (let ((bol (point)) (eol (line-end-position)) quotes comment)
      (if (looking-at "[ \t]*|")
          (while (re-search-forward "[\"#]" eol t)
            (put-text-property (1- (point)) (point) 'syntax-table '(1)))
        (goto-char bol)
        (while (and (not comment) (re-search-forward "[\"#]" eol t))
          (cond ((eq (char-before) ?\") (push (1- (point)) quotes))
                ((zerop (% (length quotes) 2)) (setq comment t))))
        (unless (zerop (% (length quotes) 2))
          (put-text-property (car quotes) (1+ (car quotes)) 'syntax-table '(1)))))
    (forward-line 1)
    (when (eobp) (goto-char (max end (point-max))))))

(defun gyle-mode--any (words)
  "A regular expression for one of WORDS, hyphens and blanks alike."
  (concat "\\(?:"
          (mapconcat (lambda (word) (replace-regexp-in-string "[- ]" "[- ]" (regexp-quote word)))
                     words "\\|")
          "\\)"))

(defconst gyle-mode--when
  "\\(?:[0-9]?[0-9]:[0-9][0-9]\\|[0-9-]\\{8,10\\}\\(?:[ \t]+[0-9]?[0-9]:[0-9][0-9]\\)?\\|day[ \t]+-?[0-9]+\\(?:[ \t]+[0-9]?[0-9]:[0-9][0-9]\\)?\\)"
  "When a line of a log was.")

(defconst gyle-mode-font-lock-keywords
  `((,(concat "^\\(" (gyle-mode--any gyle-words-blocks) "\\)\\_>[ \t]*\\(.*\\)?$")
     (1 font-lock-keyword-face))
    ("^[ \t]*|.*$" 0 font-lock-doc-face t)
    ("#=.*$" 0 font-lock-preprocessor-face t)
    (,(concat "^[ \t]+\\(?:\\(" gyle-mode--when "\\)[ \t]+\\)?\\(" (gyle-mode--any gyle-words-entries) "\\)\\_>")
     (1 font-lock-constant-face nil t)
     (2 font-lock-builtin-face))
    (,(concat "[][,][ \t]*\\(" (gyle-mode--any gyle-words-properties) "\\)\\_>")
     (1 font-lock-variable-name-face))
    (,(concat "\\_<[-−]?[0-9]+\\(?:\\.[0-9]+\\)?\\(?:/[0-9]+\\)?[ \t]*\\("
              (mapconcat #'regexp-quote gyle-words-units "\\|") "\\)\\_>")
     (1 font-lock-type-face))
    ("\\_<[-−]?[0-9]+\\(?:\\.[0-9]+\\)?" 0 font-lock-constant-face))
  "What is coloured in a gyle file.")

;;;###autoload
(define-derived-mode gyle-mode prog-mode "Gyle"
  "Major mode for beer recipes and brewing logs."
  (setq-local comment-start "# "
              comment-start-skip "#+[ \t]*"
              comment-end ""
              indent-tabs-mode nil
              indent-line-function #'gyle-mode-indent-line
              tab-width 2
              outline-regexp "[[:alpha:]]"
              imenu-generic-expression '((nil "^\\(\\(?:recipe\\|gyle\\|tasting\\|malt\\|sugar\\|hop\\|yeast\\|water\\|addition\\|brewhouse\\|style\\)\\_>.*?\\)[ \t]*\\(?:#.*\\)?$" 1))
              syntax-propertize-function #'gyle-mode--syntax-propertize
              parse-sexp-lookup-properties t
              font-lock-defaults '(gyle-mode-font-lock-keywords nil t)))

(defun gyle-mode-indent-line ()
  "Indent an entry by two columns; a line that opens a block stays where it is."
  (let ((at-text (- (current-column) (current-indentation))))
    (unless (and (zerop (current-indentation))
                 (save-excursion
                   (beginning-of-line)
                   (looking-at (concat "\\(?:" (gyle-mode--any gyle-words-blocks) "\\)\\_>\\|#"))))
      (indent-line-to 2)
      (when (> at-text 0) (move-to-column (+ 2 at-text))))))

;;;###autoload
(add-to-list 'auto-mode-alist '("\\.gyle\\'" . gyle-mode))

(with-eval-after-load 'eglot
  (defvar eglot-server-programs)
  (add-to-list 'eglot-server-programs '(gyle-mode . gyle-contact))
  (add-hook 'eglot-managed-mode-hook #'gyle-mode--explain)
  ;; The eglot of Emacs 30.1 leaves file names as bytes and then finds no buffer for the findings of `bière.gyle'.
  (when (fboundp 'eglot-uri-to-path)
    (advice-add 'eglot-uri-to-path :filter-return #'gyle-mode--decode)))

(defvar eldoc-documentation-strategy)
(defun gyle-mode--explain ()
  "Have what is at the cursor explained.  The eglot of Emacs 28 shows the form of the line instead."
  (when (and (derived-mode-p 'gyle-mode) (eq eldoc-documentation-strategy 'eldoc-documentation-enthusiast))
    (setq-local eldoc-documentation-functions
                '(flymake-eldoc-function eglot-hover-eldoc-function eglot-signature-eldoc-function)
                eldoc-documentation-strategy #'eldoc-documentation-compose)))

(defun gyle-mode--decode (path)
  "PATH as text, whether its letters beyond ASCII are bytes or letters."
  (decode-coding-string (encode-coding-string path 'utf-8) 'utf-8))

(provide 'gyle-mode)
;;; gyle-mode.el ends here
