;;; test.el --- Drives gyle-mode and the server through eglot -*- lexical-binding: t -*-

;; Debian's packages of Emacs Lisp, which -Q leaves out.
(require 'package)
(add-to-list 'package-directory-list "/usr/share/emacs/site-lisp/elpa")
(package-initialize)
(require 'gyle-mode)
(require 'eglot)
(require 'flymake)
(require 'cl-lib)

(setq eglot-sync-connect 20 eglot-confirm-server-initiated-edits nil
      create-lockfiles nil make-backup-files nil)

(defvar done 0)
(defvar failed 0)

(defun check (ok what &optional detail)
  (cl-incf done)
  (unless ok (cl-incf failed))
  (princ (format "%s - %s%s\n" (if ok "ok" "not ok") what (if (or ok (null detail)) "" (format " # %S" detail)))))

(defun wait-for (done)
  "Wait until DONE gives something.  Batch Emacs reads what processes say only while it waits."
  (let ((end (+ (float-time) 30)) result)
    (while (and (not (setq result (funcall done))) (< (float-time) end))
      (accept-process-output nil 0.05))
    result))

(defun findings ()
  "What flymake shows, as (LINE COLUMN-OF-BEGIN COLUMN-OF-END TEXT)."
  ;; Batch Emacs has no idle time, in which this would happen by itself.
  (eglot--signal-textDocument/didChange)
  (flymake-start)
  (mapcar (lambda (finding)
            (save-excursion
              (goto-char (flymake-diagnostic-beg finding))
              (list (line-number-at-pos) (current-column)
                    (progn (goto-char (flymake-diagnostic-end finding)) (current-column))
                    (flymake-diagnostic-text finding))))
          (flymake-diagnostics)))

(defun face-of (text &optional offset)
  "The face of the first character of TEXT, or OFFSET characters on."
  (save-excursion
    (goto-char (point-min))
    (search-forward text)
    (get-text-property (+ (match-beginning 0) (or offset 0)) 'face)))

(defun server () (or (eglot-current-server) (error "No server")))

(condition-case error
    (progn
      (find-file "bière-de-marée.gyle")
      (check (eq major-mode 'gyle-mode) "the file name chooses the mode")
      (font-lock-ensure)
      (dolist (one '(("recipe \"" 0 font-lock-keyword-face) ("batch" 0 font-lock-builtin-face)
                     ("# Bière" 2 font-lock-comment-face) ("\"Bière" 1 font-lock-string-face)
                     ("3.6 kg" 0 font-lock-constant-face) ("3.6 kg" 4 font-lock-type-face)
                     ("Marée malt" 0 nil) ("og  " 0 font-lock-builtin-face)))
        (let ((face (face-of (car one) (cadr one))))
          (check (equal face (nth 2 one)) (format "colour of `%s'" (car one)) face)))
      (check (equal (mapcar #'car (imenu--make-index-alist t)) '("*Rescan*" "recipe \"Bière de Marée\"")) "the menu has the recipe"
             imenu--index-alist)
      (call-interactively #'eglot)
      (check (eglot-current-server) "the server is there")
      ;; The decimal comma stands behind a cereal beyond the first plane of Unicode.
      (let ((found (wait-for (lambda () (cl-find-if (lambda (one) (string-match-p "with a comma" (nth 3 one))) (findings))))))
        (check (and (equal (nth 0 found) 10)
                    (save-excursion (goto-char (point-min)) (search-forward "7,4")
                                    (equal (list (line-number-at-pos) (- (current-column) 3) (current-column)) (cl-subseq found 0 3))))
               "a finding stands where it belongs" found))
      (goto-char (point-min))
      (search-forward "Größe")
      (goto-char (match-beginning 0))
      (eldoc-print-current-symbol-info t)
      (let ((told (lambda () (if (buffer-live-p eldoc--doc-buffer) (with-current-buffer eldoc--doc-buffer (buffer-string)) ""))))
        (check (wait-for (lambda () (string-match-p "Größe" (funcall told)))) "what is at the cursor is explained" (funcall told)))
      (if (not (fboundp 'eglot-inlay-hints-mode))
          (princ "# this eglot has no inlay hints\n")
        ;; What is on the screen is drawn by a timer, which batch Emacs has not.
        (eglot--update-hints-1 (point-min) (point-max))
        (let ((hints (wait-for
                      (lambda ()
                        (delq nil (mapcar (lambda (one)
                                            (and (overlay-get one 'eglot--inlay-hint)
                                                 (list (line-number-at-pos (overlay-start one))
                                                       (substring-no-properties
                                                        (or (overlay-get one 'before-string) (overlay-get one 'after-string))))))
                                          (overlays-in (point-min) (point-max))))))))
          (check (cl-find-if (lambda (one) (and (equal (car one) 6) (string-match-p "%" (cadr one)))) hints)
                 "a value stands beside its line" hints)))
      (search-forward "7,4")
      (backward-char 2)
      (let ((actions (append (eglot-code-actions (line-beginning-position) (line-end-position) "quickfix") nil)))
        (check actions "the finding can be mended")
        (let ((action (car actions)))
          (if (fboundp 'eglot-execute)
              (eglot-execute (server) action)
            (unless (plist-get action :edit)
              (setq action (jsonrpc-request (server) :codeAction/resolve action)))
            (eglot--apply-workspace-edit (plist-get action :edit)))))
      (check (save-excursion (goto-char (point-min)) (search-forward "Größe 🌾 [7.4 %] at 60 min" nil t)) "the fix is applied"
             (buffer-string))
      (check (wait-for (lambda () (not (cl-find-if (lambda (one) (string-match-p "with a comma" (nth 3 one))) (findings)))))
             "the finding is gone")
      (eglot-format-buffer)
      (check (save-excursion (goto-char (point-min)) (search-forward "\n  20 g      Größe 🌾 [5 %] at 10 min\n" nil t))
             "the file is lined up" (buffer-string))
      (goto-char (point-min))
      (search-forward "boil 60 min\n")
      (insert "  10 g      Größe 🌾 at ")
      (let* ((capf (eglot-completion-at-point))
             (all (let ((table (nth 2 capf))) (all-completions "" table (plist-get (nthcdr 3 capf) :predicate)))))
        (check (cl-find-if (lambda (one) (string-match-p "flameout" one)) all) "what may stand there is offered" all))
      (delete-region (line-beginning-position) (line-end-position))
      (set-buffer-modified-p nil)
      (let ((process (jsonrpc--process (server))))
        (eglot-shutdown (server) nil 10)
        (check (not (process-live-p process)) "the server ends")))
  (error (check nil "the script" error)))
(princ (format "%d of %d\n" (- done failed) done))
(kill-emacs (if (zerop failed) 0 1))
